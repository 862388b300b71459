#include "sensors/plausibility/backlog.hpp"

#include <algorithm>

namespace gyled::sensors {
namespace {

constexpr Duration shortest_step{1};  // times of one sensor are told apart by the millisecond

std::optional<Duration> usual_interval(const Undated& undated) {
    if (undated.cadence.intervals < base::FreshnessParameters{}.learnt_from) return std::nullopt;
    return std::chrono::duration_cast<Duration>(std::chrono::duration<double>(undated.cadence.mean_seconds));
}

Duration scaled(Duration duration, double by) {
    return Duration{static_cast<Duration::rep>(static_cast<double>(duration.count()) * by)};
}

bool are_live(const Undated& undated, std::span<const Timestamp> arrivals, const BacklogParameters& with) {
    const auto usual = usual_interval(undated);
    const Duration apart = usual ? scaled(*usual, with.live_share) : with.live_unlearnt;
    const auto others = static_cast<Duration::rep>(arrivals.size() - 1);
    return arrivals.back() - arrivals.front() >= others * apart;
}

}  // namespace

bool is_after_absence(const Undated& undated, Timestamp arrived, const BacklogParameters& with) {
    if (!undated.cadence.last) return false;
    const auto usual = usual_interval(undated);
    const Duration ordinary = usual ? scaled(*usual, with.absence_intervals) : with.absence_unlearnt;
    return arrived - *undated.cadence.last > std::max(with.absence_least, ordinary);
}

bool was_spread(const Undated& undated, Timestamp arrived) {
    return undated.spread_from && *undated.spread_from <= arrived && arrived <= *undated.spread_until;
}

std::optional<std::vector<Timestamp>> spread(const Undated& undated, std::span<const Timestamp> arrivals,
                                             Held how, const BacklogParameters& with) {
    if (!undated.cadence.last || arrivals.back() <= *undated.cadence.last) return std::nullopt;
    if (how != Held::no_arrival && are_live(undated, arrivals, with)) return std::nullopt;
    const Duration gap = arrivals.back() - *undated.cadence.last;
    const auto count = static_cast<Duration::rep>(arrivals.size());
    const auto usual = usual_interval(undated);
    const bool takes_all = how != Held::some || !usual || *usual * count > gap;
    if ((takes_all ? gap / count : *usual) < shortest_step) return std::nullopt;
    std::vector<Timestamp> times;
    for (Duration::rep i = 1; i <= count; ++i)
        times.push_back(*undated.cadence.last + (takes_all ? gap * i / count : *usual * i));
    return times;
}

/// An absence is no interval; what was taken for one, before the sensor was known, may have been an absence.
void note_live(Undated& undated, Timestamp at, const BacklogParameters& with) {
    base::Cadence& cadence = undated.cadence;
    if (cadence.intervals > 0 && cadence.last) {
        const double seconds = base::unix_seconds(at) - base::unix_seconds(*cadence.last);
        const bool is_learnt = usual_interval(undated).has_value();
        if (seconds > with.absence_intervals * cadence.mean_seconds && is_after_absence(undated, at, with)) {
            cadence.last = at;
            return;
        }
        if (!is_learnt && with.absence_intervals * seconds < cadence.mean_seconds) cadence.intervals = 0;
    }
    cadence.note(at);
}

void note_spread(Undated& undated, std::span<const Timestamp> arrivals, std::span<const Timestamp> times,
                 const BacklogParameters& with) {
    for (const Timestamp time : times) undated.cadence.note(time);
    if (!undated.spread_from || arrivals.front() - *undated.spread_from > with.remembered)
        undated.spread_from = arrivals.front();
    undated.spread_until = arrivals.back();
}

void TimesGiven::note(std::span<const Timestamp> arrivals, std::span<const Timestamp> times) {
    while (!given_.empty() && given_.back().first >= arrivals.front()) given_.pop_back();  // of another clock
    for (std::size_t i = 0; i < arrivals.size(); ++i) given_.emplace_back(arrivals[i], times[i]);
    while (given_.size() > remembered) given_.pop_front();
}

std::optional<Timestamp> TimesGiven::to(Timestamp arrived) const {
    const auto found = std::ranges::lower_bound(given_, arrived, {}, &std::pair<Timestamp, Timestamp>::first);
    if (found == given_.end() || found->first != arrived) return std::nullopt;
    return found->second;
}

void set_clock(Undated& undated, const base::ClockSet& set) {
    auto& last = undated.cadence.last;
    const bool has_its_true_name = set.false_since && last && *last <= *set.false_since;
    if (!has_its_true_name) set.rename(last);
    undated.spread_from.reset();
    undated.spread_until.reset();
}

}  // namespace gyled::sensors
