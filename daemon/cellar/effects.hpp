#pragma once
/// What the core wants done after a reading, a command or the passing of time. The edge does it; the core
/// does not look.

#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/annunciation/notice.hpp"
#include "daemon/base/estimate.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/estimation/fact.hpp"
#include "sensors/reading.hpp"

namespace gyled::cellar {

using base::Duration;
using base::Timestamp;

/// One measured value for the store; pressures already gauge. Key: (sensor, at).
struct ReadingPoint {
    std::string sensor, vessel;
    base::Quantity quantity{};
    Timestamp at, arrived;
    double value = 0;
    sensors::Verdict verdict{};
};

/// One belief for the store. Key: (vessel, quantity, at): late readings may write it again.
struct EstimatePoint {
    std::string vessel;
    base::Quantity quantity{};
    Timestamp at;
    base::Estimate estimate;
};

struct FactChange {
    std::string vessel, batch;
    estimation::Fact fact;
};

/// The core wants the vessel's stored readings since `from` given to `Cellar::recall`: a batch that was
/// registered after its readings were stored, or one whose start was corrected to an earlier time.
struct Recall {
    std::string vessel;
    Timestamp from;
};

struct Effects {
    std::vector<ReadingPoint> readings;
    std::vector<EstimatePoint> estimates;
    std::vector<alarms::Transition> transitions;
    std::vector<FactChange> facts;
    std::vector<batch::Record> batches;
    std::vector<annunciation::Notice> notices;
    std::vector<Recall> recalls;
    std::vector<std::string> answers;   ///< what was understood of a command, in words
    std::vector<std::string> problems;  ///< why a command was refused, in words

    void append(Effects&& more);
    [[nodiscard]] bool empty() const;
};

}  // namespace gyled::cellar
