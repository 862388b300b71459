#include "sensors/plausibility/event_time.hpp"

namespace gyled::sensors {

EventTime event_time(std::optional<Timestamp> own, Timestamp arrived) {
    using enum EventTime::Source;
    if (!own) return {.source = arrival, .at = arrived};
    if (*own > arrived + clock_tolerance) return {.source = clock_ahead, .at = arrived};
    if (*own < arrived - oldest_reading) return {.source = too_old, .at = *own};
    return {.source = payload, .at = *own};
}

}  // namespace gyled::sensors
