#pragma once
/// What a person (or the edge) tells the core. Each carries its own time.

#include <string>
#include <variant>
#include <vector>

#include "daemon/base/impairment.hpp"
#include "daemon/batch/correction.hpp"
#include "daemon/batch/record.hpp"

namespace gyled::cellar {

using base::Duration;
using base::Timestamp;

/// Starts the plan's first stage at `at`, or at the stages' own start times when they have them.
struct StartBatch {
    batch::Plan plan;
    Timestamp at;
    std::string id;  ///< empty: the core makes one from vessel, name and time
};
/// Moves on to the next planned stage, or to `index` when given.
struct EnterStage {
    std::string vessel;
    Timestamp at;
    std::optional<std::size_t> index;
    std::string why = "by hand";
};
struct EndBatch {
    std::string vessel;
    Timestamp at;
    std::string why = "by hand";
};
/// What a person read from an instrument. Refused, with the likely meaning, when it cannot be what it says it
/// is or when nothing would use it.
struct Measure {
    std::string vessel;
    batch::HandMeasurement measurement;
};
/// Takes back the newest measurement, or the one taken at `measured_at`.
struct UndoMeasurement {
    std::string vessel;
    Timestamp at;
    std::optional<Timestamp> measured_at;
};
/// Corrects the running batch; what is not given stays. Everything derived follows.
struct CorrectBatch : batch::Correction {
    std::string vessel;
    Timestamp at;
};
struct Acknowledge {
    std::string alarm;
    Timestamp at;
};
struct Shelve {
    std::string alarm;
    Timestamp at, until;
    std::string reason;
};
struct BrokerState {
    bool connected = false;
    Timestamp at;
};

/// What of the watch itself does not work now: all of it, in an order that stays. The broker apart.
struct Impaired {
    base::Impairments impairments;
    Timestamp at;
};

using Command = std::variant<StartBatch, EnterStage, EndBatch, Measure, UndoMeasurement, CorrectBatch,
                             Acknowledge, Shelve, BrokerState, Impaired>;

}  // namespace gyled::cellar
