#include "daemon/estimation/gas/relief.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "daemon/brewing/relief.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr ReliefWatchParameters watch;
constexpr double bend_per_variance = 6.0;  // of a second difference of equal noises: 1 + 4 + 1

}  // namespace

void ReliefWatch::add(base::Timestamp at, double kpa, std::optional<double> mark_kpa) {
    if (!std::isfinite(kpa) || (memory_.at && at <= *memory_.at)) return;
    if (!memory_.at || at - *memory_.at > watch.gap_most) {
        begin(at, kpa);
        return;
    }
    const double bend = kpa - 2 * memory_.kpa + memory_.before_kpa;
    const double taught = std::min(watch.noise_growth * memory_.noise_kpa2, bend * bend / bend_per_variance);
    memory_.noise_kpa2 = std::max(
        watch.noise_kpa2_min, watch.noise_memory * memory_.noise_kpa2 + (1 - watch.noise_memory) * taught);
    if (mark_kpa && *mark_kpa > 0) {
        if (memory_.falls)
            fall(kpa, *mark_kpa);
        else
            rise(at, kpa, *mark_kpa);
    }
    memory_.at = at;
    memory_.before_kpa = std::exchange(memory_.kpa, kpa);
}

void ReliefWatch::begin(base::Timestamp at, double kpa) {
    memory_.at = memory_.peak_at = at;
    memory_.kpa = memory_.before_kpa = memory_.peak_kpa = kpa;
    memory_.falls = false;
}

/// Two readings make a peak, and two make a fall: one wild value makes neither.
void ReliefWatch::rise(base::Timestamp at, double kpa, double mark_kpa) {
    const double firm = std::min(memory_.kpa, kpa);
    if (firm >= memory_.peak_kpa || at - memory_.peak_at > watch.fall_within) {
        memory_.peak_kpa = firm;
        memory_.peak_at = at;
    }
    const double fallen = memory_.peak_kpa - std::max(memory_.kpa, kpa);
    const double enough = std::max(
        {watch.fall_min_kpa, watch.fall_share * mark_kpa, watch.fall_sigmas * std::sqrt(memory_.noise_kpa2)});
    memory_.falls = fallen >= enough && memory_.peak_kpa >= mark_kpa - brewing::set_tolerance_kpa(mark_kpa);
    memory_.lowest_kpa = std::max(memory_.kpa, kpa);
}

void ReliefWatch::fall(double kpa, double mark_kpa) {
    const bool seated = kpa >= memory_.lowest_kpa - watch.held_kpa;
    memory_.lowest_kpa = std::min(memory_.lowest_kpa, kpa);
    const bool by_hand = memory_.lowest_kpa < watch.seats_share_min * mark_kpa;
    if (!seated && !by_hand) return;
    if (!by_hand) count();
    memory_.falls = false;
    memory_.peak_kpa = memory_.lowest_kpa;
}

void ReliefWatch::count() {
    ReliefHistory& seen = memory_.history;
    if (seen.count == 0 || memory_.peak_at - seen.last > watch.run_gap)
        seen = {.first = memory_.peak_at, .last = memory_.peak_at};
    seen.last = memory_.peak_at;
    ++seen.count;
    seen.opens_kpa += (memory_.peak_kpa - seen.opens_kpa) / seen.count;
    seen.reseats_kpa += (memory_.lowest_kpa - seen.reseats_kpa) / seen.count;
}

std::optional<ReliefHistory> ReliefWatch::history() const {
    const ReliefHistory& seen = memory_.history;
    if (seen.count == 0 || (memory_.at && *memory_.at - seen.last > watch.run_gap)) return std::nullopt;
    return seen;
}

void ReliefWatch::shift(base::Duration by) {
    if (memory_.at) *memory_.at += by;
    memory_.peak_at += by;
    memory_.history.first += by;
    memory_.history.last += by;
}

}  // namespace gyled::estimation::gas
