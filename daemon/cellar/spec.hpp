#pragma once
/// What the configuration tells the core. Plain values, checked by `config` and copied by the core: a change
/// needs a new one. Pressures kPa gauge, volumes L, temperatures degC.

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/tuning.hpp"
#include "daemon/annunciation/annunciator.hpp"
#include "daemon/base/freshness.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/display/display.hpp"

namespace gyled::cellar {

/// A sensor that the core expects to hear.
struct ExpectedSensor {
    std::string id, vessel;
    base::Quantity quantity{};
    std::optional<base::Duration> silent_after{};  ///< more than 0; nothing: learnt from its cadence
};

struct CellarSpec {
    std::string site;          ///< its name, for messages; empty: not said
    double elevation_m = 0;    ///< for the air outside, until a barometer speaks
    display::Display display;  ///< how texts for people speak of numbers and moments
    std::vector<batch::VesselSpec> vessels;
    std::vector<ExpectedSensor> sensors;              ///< of all vessels
    std::vector<alarms::RuleTuning> rules;            ///< what the person changed of the rules, or added
    std::vector<annunciation::Recipient> recipients;  ///< in no order; none: alarms stand on the page only
    annunciation::Policy annunciation;
    /// Grid steps of belief in one go; what is left is done by `Cellar::catch_up`, so that a correction of a
    /// batch of months does not hold up the loop. Without a loop to yield to: all at once.
    std::size_t steps_at_once = std::numeric_limits<std::size_t>::max();
    base::Duration estimates_every = std::chrono::minutes{15};  ///< at least the estimators' grid
    /// What is believed is also told at multiples of this, whole minutes; nothing: with the estimates alone.
    std::optional<base::Duration> also_told_every;
};

}  // namespace gyled::cellar
