#pragma once
/// What the core wants done after a reading, a command or the passing of time. The edge does it; the core
/// does not look.

#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/brewing/estimate.hpp"
#include "daemon/cellar/command.hpp"
#include "daemon/estimation/fact.hpp"
#include "sensors/reading.hpp"

namespace gyled::cellar {

/// One measured value for the store; pressures already gauge. Key: (sensor, at).
struct ReadingPoint {
    std::string sensor, vessel;
    brewing::Quantity quantity{};
    Timestamp at, arrived;
    double value = 0;
    sensors::Verdict verdict{};
};

/// One belief for the store. Key: (vessel, quantity, at): late readings may write it again.
struct EstimatePoint {
    std::string vessel;
    brewing::Quantity quantity{};
    Timestamp at;
    brewing::Estimate estimate;
};

/// The state of a batch as it is to be remembered; written whole each time it changes. Key: id.
struct BatchRecord {
    struct Entered {
        std::size_t index = 0;  ///< into plan.stages
        Timestamp at;
        std::string why;
        std::optional<Timestamp> end_reached;  ///< when the planned end was met; the person was told then
    };
    std::string id;
    BatchPlan plan;
    Timestamp started;
    std::optional<Timestamp> ended;
    std::vector<Entered> stages;  ///< in order of entering; the last one is where it stands
    std::vector<HandMeasurement> measurements;
    std::vector<estimation::Fact> facts;
};

struct FactChange {
    std::string vessel, batch;
    estimation::Fact fact;
};

struct Effects {
    std::vector<ReadingPoint> readings;
    std::vector<EstimatePoint> estimates;
    std::vector<alarms::Transition> transitions;
    std::vector<FactChange> facts;
    std::vector<BatchRecord> batches;
    std::vector<alarms::Notice> notices;
    std::vector<std::string> problems;  ///< why a command was refused, in words

    void append(Effects&& more);
    [[nodiscard]] bool empty() const;
};

}  // namespace gyled::cellar
