#include "daemon/estimation/gas/purge.hpp"

#include <cmath>

namespace gyled::estimation::gas {
namespace {
constexpr PurgeWatchParameters watch;
}

void PurgeWatch::add(base::Timestamp at, double kpa) {
    if (!std::isfinite(kpa) || (memory_.at && at <= *memory_.at)) return;
    memory_.at = at;
    const bool stands = memory_.peak_kpa > 0;
    if (kpa >= watch.filled_kpa &&
        (kpa >= memory_.peak_kpa || at - memory_.peak_at > watch.lets_off_within)) {
        memory_.peak_kpa = kpa;
        memory_.peak_at = at;
    } else if (stands && kpa <= watch.let_off_share * memory_.peak_kpa) {
        if (at - memory_.peak_at <= watch.lets_off_within) {
            if (memory_.cycles++ == 0) memory_.first = at;
            memory_.last = at;
        }
        memory_.peak_kpa = 0;
    }
}

std::optional<PurgeWatch::Purge> PurgeWatch::take(base::Timestamp now) {
    if (memory_.cycles == 0 || now - memory_.last < watch.ends_after) return std::nullopt;
    const Purge seen{memory_.first, memory_.cycles};
    memory_.cycles = 0;
    return seen.cycles >= watch.cycles_min ? std::optional{seen} : std::nullopt;
}

void PurgeWatch::shift(base::Duration by) {
    if (memory_.at) *memory_.at += by;
    for (base::Timestamp* t : {&memory_.peak_at, &memory_.first, &memory_.last}) *t += by;
}

}  // namespace gyled::estimation::gas
