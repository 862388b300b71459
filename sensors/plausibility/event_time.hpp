#pragma once
/// When was it taken? The payload's own time, within reason; else the arrival.

#include <optional>

#include "sensors/reading.hpp"

namespace gyled::sensors {

/// Long enough to import last year's batch. Older than this is a clock that was never set.
inline constexpr Duration oldest_reading = std::chrono::hours{24 * 400};
/// Clocks differ a little.
inline constexpr Duration clock_tolerance = std::chrono::minutes{2};

struct EventTime {
    enum class Source { payload, arrival, clock_ahead, too_old } source;
    Timestamp at;  ///< of the payload when that is the source or too old; else of the arrival
};

[[nodiscard]] EventTime event_time(std::optional<Timestamp> own, Timestamp arrived);

}  // namespace gyled::sensors
