#include "daemon/notify/back_off.hpp"

#include <algorithm>

namespace gyled::notify {

const Waits& BackOff::of(alarms::Priority priority) const {
    if (priority == alarms::Priority::critical) return critical;
    return priority == alarms::Priority::high ? high : other;
}

Duration wait_after(unsigned attempts, double chance, const Waits& waits) {
    Duration span = std::min(2 * waits.shortest, waits.longest);
    for (unsigned n = 1; n < attempts && span < waits.longest; ++n) span = std::min(2 * span, waits.longest);
    const double half = static_cast<double>(span.count()) / 2;
    const Duration wait{static_cast<Duration::rep>(half + half * std::clamp(chance, 0.0, 1.0))};
    return std::max(wait, std::min(waits.shortest, waits.longest));
}

}  // namespace gyled::notify
