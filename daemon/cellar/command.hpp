#pragma once
/// What a person (or the edge) tells the core. Each carries its own time.

#include <string>
#include <variant>

#include "daemon/base/quantity.hpp"
#include "daemon/batch/record.hpp"

namespace gyled::cellar {

using base::Duration;
using base::Timestamp;

/// Starts the plan's first stage at `at`, or at the stages' own start times when they have them.
struct StartBatch {
    batch::Plan plan;
    Timestamp at;
    std::string id;  ///< empty: the core makes one from name and time
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

using Command =
    std::variant<StartBatch, EnterStage, EndBatch, batch::HandMeasurement, Acknowledge, Shelve, BrokerState>;

}  // namespace gyled::cellar
