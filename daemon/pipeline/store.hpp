#pragma once
/// What the pipeline needs of a memory, as an interface: the daemon's is a database, a replay has none, and
/// the tests' double fails when told to.

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/cellar/cellar.hpp"

namespace gyled::pipeline {

using base::Timestamp;

/// One commit: what happened, and what was learnt. All of it is written, or nothing.
struct Group {
    cellar::Effects effects;
    std::map<std::string, estimation::LearnedCurve> learned;  ///< by culture name
    [[nodiscard]] bool empty() const { return effects.empty() && learned.empty(); }
};

/// Thread: the pipeline's. Everything may throw std::runtime_error, whose words are for the person who has to
/// mend it. Owned by whoever built the pipeline; must outlive it.
class Store {
public:
    virtual ~Store() = default;

    /// In one transaction; when it throws, the same group may be given again. Returns how many readings were
    /// new.
    virtual std::size_t write(const Group& group) = 0;

    /// Where the last run ended.
    [[nodiscard]] virtual cellar::Memory memory() = 0;
    /// What earlier batches of this culture taught; nothing when none did.
    [[nodiscard]] virtual std::optional<estimation::LearnedCurve> learned(
        const std::string& culture_name) = 0;
    /// The vessel's committed readings with from <= at < to, in order of event time.
    using TakeReading = std::function<void(const cellar::ReadingPoint&)>;
    virtual void for_each_reading(const std::string& vessel, Timestamp from, Timestamp to,
                                  const TakeReading& take) = 0;
};

/// Remembers nothing and never fails: for a replay.
class NoStore final : public Store {
public:
    std::size_t write(const Group& group) override { return group.effects.readings.size(); }
    [[nodiscard]] cellar::Memory memory() override { return {}; }
    [[nodiscard]] std::optional<estimation::LearnedCurve> learned(const std::string&) override {
        return std::nullopt;
    }
    void for_each_reading(const std::string&, Timestamp, Timestamp, const TakeReading&) override {}
};

}  // namespace gyled::pipeline
