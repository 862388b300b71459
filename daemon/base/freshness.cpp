#include "daemon/base/freshness.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::base {

void Cadence::note(Timestamp at, const FreshnessParameters& parameters) {
    if (last && at <= *last) return;
    if (last) {
        const double seconds = unix_seconds(at) - unix_seconds(*last);
        intervals = std::min(intervals + 1, parameters.learnt_from);
        const double weight = std::max(parameters.weight, 1.0 / intervals);
        // An outage is no interval: what is longer than silence itself would teach patience with silence.
        const double known = intervals < parameters.learnt_from
                                 ? seconds
                                 : std::min(seconds, parameters.intervals * mean_seconds);
        mean_seconds += weight * (known - mean_seconds);
    }
    last = at;
}

Duration Cadence::silent_after(const FreshnessParameters& parameters) const {
    if (intervals < parameters.learnt_from) return parameters.unlearnt;
    const Duration usual =
        hours(parameters.intervals * mean_seconds / unix_seconds(Timestamp{std::chrono::hours{1}}));
    return std::clamp(usual, parameters.least, parameters.most);
}

}  // namespace gyled::base
