#pragma once
/// What the pipeline needs of a memory, as an interface: the daemon's is a database, a replay has none, and
/// the tests' double fails when told to.

#include <functional>
#include <vector>

#include "daemon/cellar/cellar.hpp"
#include "daemon/cellar/commit.hpp"
#include "sensors/state.hpp"

namespace gyled::pipeline {

using base::Timestamp;

using cellar::Commit;

/// What the last commit left.
struct Memory {
    cellar::Memory core;
    std::vector<sensors::SensorState> sensors;
};

/// Thread: the pipeline's. Everything may throw std::runtime_error, whose words are for the person who has to
/// mend it. Owned by whoever built the pipeline; must outlive it.
class Store {
public:
    virtual ~Store() = default;

    /// In one transaction; when it throws, the same group may be given again. Returns how many readings were
    /// new.
    virtual std::size_t write(const Commit& group) = 0;
    [[nodiscard]] virtual Memory memory() = 0;
    /// All vessels' committed readings with from <= at < to, in order of event time.
    using TakeReading = std::function<void(const cellar::ReadingPoint&)>;
    virtual void for_each_reading(Timestamp from, Timestamp to, const TakeReading& take) = 0;
};

/// Remembers nothing and never fails: for a replay.
class NoStore final : public Store {
public:
    std::size_t write(const Commit& group) override { return group.effects.readings.size(); }
    [[nodiscard]] Memory memory() override { return {}; }
    void for_each_reading(Timestamp, Timestamp, const TakeReading&) override {}
};

}  // namespace gyled::pipeline
