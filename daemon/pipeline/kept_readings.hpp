#pragma once
/// Readings that wait for a store that fails, in few bytes: an hour of a busy house, or weeks of a quiet one.

#include <cstdint>
#include <deque>
#include <vector>

#include "daemon/cellar/effects.hpp"

namespace gyled::pipeline {

/// First in, first out. What the store does not keep (`arrived`) is not kept here either. Thread: its
/// owner's.
class KeptReadings {
public:
    void push(const cellar::ReadingPoint& reading);
    /// The oldest, at most so many; they stay until `pop`.
    [[nodiscard]] std::vector<cellar::ReadingPoint> front(std::size_t count) const;
    void pop(std::size_t count);

    [[nodiscard]] std::size_t size() const { return readings_.size(); }
    [[nodiscard]] bool empty() const { return readings_.empty(); }

private:
    /// Who said it; few, so they are searched one by one.
    struct Origin {
        std::string sensor, vessel;
        base::Quantity quantity{};
    };
    struct Compact {
        base::Timestamp at;
        double value = 0;
        std::uint32_t origin = 0;
        sensors::Quality quality{};
    };
    [[nodiscard]] std::uint32_t origin_of(const cellar::ReadingPoint& reading);

    std::vector<Origin> origins_;
    std::deque<Compact> readings_;
};

}  // namespace gyled::pipeline
