#pragma once
/// What became of a plan: the stages entered, what a person measured, what was found to be so.

#include <optional>
#include <string>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/batch/stage_clock.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gas/uptake.hpp"
#include "daemon/estimation/gravity/prior.hpp"

namespace gyled::batch {

/// A hydrometer, thermometer or pressure gauge read by a person; canonical units (pressure gauge).
struct HandMeasurement {
    base::Quantity quantity{};
    double value = 0;
    Timestamp at;
    std::string note;
};

/// The state of a batch as it is to be remembered; written whole each time it changes. Key: id.
struct Record {
    struct Entered {
        std::size_t index = 0;  ///< into plan.stages
        Timestamp at;
        std::string why;
        std::optional<Timestamp> end_reached;  ///< when the planned end was met; the person was told then
        std::optional<Timestamp> soon_told{};  ///< when the person was told that its end is near
        std::size_t additions_told = 0;        ///< of which the person was reminded
        std::optional<StageClock> left_at{};   ///< its clock when it was left; nothing: it stands
    };
    std::string id;
    Plan plan;
    Timestamp started;
    std::optional<Timestamp> ended;
    std::string ended_why;  ///< in the person's words; empty while it runs
    /// What earlier batches of its culture had taught when it began: its own teaching never comes back to it.
    std::optional<estimation::LearnedCurve> prior;
    /// ... and those in its vessel.
    std::optional<estimation::gas::LearnedUptake> uptake;
    std::vector<Entered> stages;  ///< in order of entering; the last one is where it stands
    std::vector<HandMeasurement> measurements;
    std::vector<estimation::Fact> facts;
};

}  // namespace gyled::batch
