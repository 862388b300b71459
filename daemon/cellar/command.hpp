#pragma once
/// What a person (or the edge) tells the core. Each carries its own time.

#include <string>
#include <variant>

#include "daemon/brewing/quantity.hpp"
#include "daemon/cellar/plan.hpp"

namespace gyled::cellar {

/// Starts the plan's first stage at `at`, or at the stages' own start times when they have them.
struct StartBatch {
    BatchPlan plan;
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
/// A hydrometer, thermometer or pressure gauge read by a person; canonical units (pressure gauge).
struct HandMeasurement {
    std::string vessel;
    brewing::Quantity quantity{};
    double value = 0;
    Timestamp at;
    std::string note;
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
    std::variant<StartBatch, EnterStage, EndBatch, HandMeasurement, Acknowledge, Shelve, BrokerState>;

}  // namespace gyled::cellar
