#pragma once
/// When was it taken? The payload's own time, within reason; else the arrival.

#include <cstdint>
#include <optional>

#include "sensors/plausibility/lateness.hpp"
#include "sensors/plausibility/past.hpp"

namespace gyled::sensors {

/// Long enough to import last year's batch. Older than this is a clock that was never set.
inline constexpr Duration oldest_reading = std::chrono::hours{24 * 400};
/// Clocks differ a little: a payload's time may lie so far ahead of ours.
inline constexpr Duration clock_tolerance = std::chrono::minutes{2};

struct EventTime {
    enum class Source : std::uint8_t {
        payload,      ///< its own time
        arrival,      ///< it has none
        clock_ahead,  ///< its own lay in the future
        too_old       ///< refuse it
    } source;
    Timestamp at;  ///< of the payload when that is the source or too old; else of the arrival
    Lateness lateness = Lateness::none;
};

/// `own` is what the payload says, `arrived` what our clock said then.
[[nodiscard]] EventTime event_time(std::optional<Timestamp> own, Timestamp arrived);

}  // namespace gyled::sensors
