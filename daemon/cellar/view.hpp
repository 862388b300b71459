#pragma once
/// What the core shows: a copy of everything a screen needs, for `gyle status`, the page and the API. Values
/// are in canonical units; whoever shows them turns them into the person's. The copy belongs to whoever
/// asked, and may go to another thread.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/tightness.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/batch/plate_check.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gas/relief.hpp"
#include "daemon/estimation/gas/uptake.hpp"
#include "daemon/estimation/trend/learned_heat.hpp"

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

/// What the person who stands beside the vessel waits for.
struct Countdown {
    enum class Kind : std::uint8_t {
        rest,         ///< minutes in the band that are still to come
        paused,       ///< the same, outside the band: none of them count
        temperature,  ///< a temperature that is to be reached
        levels_off,   ///< ... and will not be
        done,         ///< the end was reached; moving on is the person's word
    };
    Kind kind{};
    std::optional<Duration> left{};  ///< of a rest
    std::optional<Timestamp> due{};  ///< when it ends, most likely; when it ended
    std::optional<Timestamp> earliest{}, latest{};
    std::string text{};    ///< "Mash rest: 23 min left", "Strike ready 10:42"
    std::string detail{};  ///< "10:38 to 10:47"; may be empty
};
[[nodiscard]] std::string_view name(Countdown::Kind kind);

/// The batch that is in a vessel now.
struct BatchView {
    std::string id, name;
    batch::Plan plan;  ///< as corrected
    Timestamp started;
    std::size_t stage_index = 0;  ///< of the plan; 0 is the first
    Timestamp stage_since;
    std::vector<batch::Record::Entered> entered;       ///< stages, in order of entering
    std::vector<batch::HandMeasurement> measurements;  ///< in the order in which they were told
    std::vector<estimation::Fact> facts;               ///< in order of time, with those that were revoked
    batch::Findings findings;  ///< what the vessel does not bear of this stage and those to come
    std::optional<base::StageKind> next_stage;  ///< of the plan
};

/// What the batches of a vessel have taught of it.
struct VesselLearned {
    estimation::trend::LearnedHeat heat;
    std::optional<estimation::gas::ReliefHistory> relief;    ///< where its valve opens
    std::optional<estimation::gas::LearnedUptake> uptake{};  ///< how fast beer in it takes up gas
};

/// One vessel at the core's time. What nobody could know is missing, never guessed.
struct VesselView {
    batch::VesselSpec spec;
    Timestamp at;                                        ///< the core's time
    base::Pressure ambient = base::standard_atmosphere;  ///< of the air: by barometer, else elevation
    std::optional<BatchView> batch;
    std::map<base::Quantity, alarms::Latest> latest;  ///< measured, pressures gauge
    std::vector<alarms::SensorSilence> sensors;       ///< each with the freshness that the core holds it to
    base::Estimates estimates;                        ///< by quantity: {value, low, high} at 90 %
    Timestamp
        estimates_at;  ///< of the grid, up to a quarter of an hour old; what follows each reading is of `at`
    std::optional<Countdown> countdown{};
    std::optional<alarms::TightnessFinding> tightness{};  ///< of the test under way
    VesselLearned learned{};
    std::vector<StandingAlarm> alarms;  ///< most urgent first
    std::string sentence;  ///< what is in there, what is next, is it safe: one line in the person's units
};

}  // namespace gyled::cellar
