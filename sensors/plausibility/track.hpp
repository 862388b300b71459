#pragma once
/// Where one sensor has been: its accepted readings in the order of their own times.

#include <optional>
#include <span>
#include <vector>

#include "sensors/plausibility/past.hpp"

namespace gyled::sensors {

/// Holds the latest `kept` readings, so a sensor that sleeps for twelve days and sends a reading for each
/// quarter of an hour is known in full. What it holds depends on the set of readings alone, not on the order
/// of their arrival: so it is made anew, after a restart, from the stored ones. Memory: at most 64 KiB.
/// Thread: its owner's.
class Track {
public:
    static constexpr std::size_t kept = 2048;

    struct Neighbours {
        std::optional<Past> before;  ///< the latest reading not after `at`
        std::optional<Past> after;   ///< the earliest one after it
    };
    [[nodiscard]] Neighbours around(Timestamp at) const;
    [[nodiscard]] bool has(Timestamp at) const;
    [[nodiscard]] std::optional<Past> latest() const;
    void forget_after(Timestamp at);
    void insert(Past reading);  ///< a second one of the same time is ignored

private:
    [[nodiscard]] std::span<const Past> in_view() const;

    // Ascending, times distinct. Only the last `kept` count; the rest is swept out now and then, which is
    // cheaper than at each reading.
    std::vector<Past> past_;
};

}  // namespace gyled::sensors
