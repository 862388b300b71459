#include "daemon/notify/back_off.hpp"

#include <algorithm>

namespace gyled::notify {

Duration wait_after(unsigned attempts, double chance, const BackOff& policy) {
    Duration span = std::min(2 * policy.shortest, policy.longest);
    for (unsigned n = 1; n < attempts && span < policy.longest; ++n)
        span = std::min(2 * span, policy.longest);
    const double half = static_cast<double>(span.count()) / 2;
    const Duration wait{static_cast<Duration::rep>(half + half * std::clamp(chance, 0.0, 1.0))};
    return std::max(wait, std::min(policy.shortest, policy.longest));
}

}  // namespace gyled::notify
