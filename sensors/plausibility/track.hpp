#pragma once
/// Where one sensor has been: its accepted readings in the order of their own times.

#include <optional>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::sensors {

/// One accepted reading.
struct Past {
    Timestamp at;
    double value = 0;
};

/// Bounded: holds at least the latest `kept` readings and at most twice as many (64 KiB), so a sensor that
/// sleeps for twelve days and sends a reading for each quarter of an hour is known in full.
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
    void insert(Past reading);  ///< a second one of the same time is ignored

private:
    std::vector<Past> past_;  // ascending, times distinct
};

}  // namespace gyled::sensors
