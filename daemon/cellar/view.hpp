#pragma once
/// What the core shows: a copy of everything a screen needs, for `gyle status`, the page and the API.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/situation.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/estimation/fact.hpp"

namespace gyled::cellar {

using base::Duration;
using base::Timestamp;

/// An alarm that stands, or stood until its return is believed.
struct StandingAlarm {
    alarms::Transition last;
    std::optional<Timestamp> shelved_until;
    std::string present_text;               ///< how it stands now, beside `last.text` from when it was raised
    std::optional<double> present_value{};  ///< canonical unit
};

struct BatchView {
    std::string id, name;
    batch::Plan plan;
    Timestamp started;
    std::size_t stage_index = 0;
    Timestamp stage_since;
    std::vector<estimation::Fact> facts;
    std::optional<std::string> next_stage;  ///< name of the kind of the next planned stage
};

struct VesselView {
    batch::VesselSpec spec;
    Timestamp at;  ///< the core's time
    std::optional<BatchView> batch;
    std::map<base::Quantity, alarms::Latest> latest;  ///< measured, pressures gauge
    std::vector<alarms::SensorSilence> sensors;       ///< each with the freshness that the core holds it to
    base::Estimates estimates;
    Timestamp estimates_at;
    std::vector<StandingAlarm> alarms;  ///< most urgent first
    std::string sentence;  ///< what is in there, what is next, is it safe: one line in the person's units
};

}  // namespace gyled::cellar
