#pragma once
/// What the core wants done after a reading, a command or the passing of time. The edge does it; the core
/// does not look. Plain values, owned by whoever holds them; times are event times unless said otherwise.
/// Values are in canonical units: degC, SG 20/20, kPa gauge (the barometer's absolute), volumes of CO2, V.

#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/annunciation/notice.hpp"
#include "daemon/base/estimate.hpp"
#include "daemon/batch/plate_check.hpp"
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
    Timestamp at, arrived;  ///< taken, by the sensor's own word when it has one; received
    double value = 0;
    sensors::Quality quality{};  ///< what is not accepted is stored apart and believed by nobody
};

/// One belief for the store. Key: (vessel, quantity, at): late readings may write it again.
struct EstimatePoint {
    std::string vessel;
    base::Quantity quantity{};
    Timestamp at;
    base::Estimate estimate;
};

/// A fact decided, revoked or restored. Key: (vessel, batch, kind, the fact's time): the last one wins.
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

/// Within each list the order is that in which things came about. All but the last four belongs into one
/// transaction with the core's state.
struct Effects {
    std::vector<ReadingPoint> readings;
    std::vector<EstimatePoint> estimates;
    std::vector<alarms::Transition> transitions;  ///< recorded, whether anybody hears of them or not
    std::vector<FactChange> facts;
    std::vector<batch::Record> batches;         ///< records that have changed, whole
    std::vector<annunciation::Notice> notices;  ///< who shall hear what; to be delivered once committed
    std::vector<Recall> recalls;                ///< to be answered after the commit
    std::vector<std::string> answers;           ///< what was understood of a command, in words
    std::vector<std::string> problems;          ///< why a command was refused, in words
    batch::Findings findings;  ///< of its plan: for which it was refused, or which were consented to

    void append(Effects&& more);  ///< behind what is here
    [[nodiscard]] bool empty() const;
};

}  // namespace gyled::cellar
