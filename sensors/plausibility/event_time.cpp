#include "sensors/plausibility/event_time.hpp"

namespace gyled::sensors {

EventTime event_time(std::optional<Timestamp> own, Timestamp arrived) {
    using enum EventTime::Source;
    if (!own) return {arrival, arrived};
    if (*own > arrived + clock_tolerance) return {clock_ahead, arrived};
    if (*own < arrived - oldest_reading) return {too_old, *own};
    return {payload, *own};
}

}  // namespace gyled::sensors
