#include "daemon/estimation/series.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/estimation/statistics/line.hpp"

namespace gyled::estimation {
namespace {

constexpr int minutes_per_quarter = 15;
/// Minutes kept one by one: 48 hours at a reading a minute. They are closed some at a time.
constexpr std::size_t minutes_kept = 48UL * 60;
constexpr std::size_t minutes_max = minutes_kept + 24UL * 60;
/// Quarters kept: a year and a month, forgotten a month at a time.
constexpr std::int64_t quarters_kept = 400L * 24 * 4;
constexpr std::int64_t quarters_slack = 30L * 24 * 4;

std::int64_t floor_div(std::int64_t a, std::int64_t b) {
    return a >= 0 ? a / b : -((-a + b - 1) / b);
}
std::int64_t minute_of(Timestamp at) {
    return floor_div(std::chrono::duration_cast<std::chrono::milliseconds>(at.time_since_epoch()).count(),
                     std::chrono::milliseconds{std::chrono::minutes{1}}.count());
}

/// Sums of such numbers are exact in a double, so they do not depend on the order. 6e-8 of SG, degC or kPa.
double exactly_summable(double value) {
    constexpr double steps_per_unit = 1 << 24;
    return std::round(value * steps_per_unit) / steps_per_unit;
}

/// As Medians keeps it, so that a value does not change when its span is closed.
Gathered as_kept(double value, std::uint32_t count) {
    constexpr std::uint32_t most = std::numeric_limits<std::uint16_t>::max();
    return {static_cast<double>(static_cast<float>(value)), std::min(count, most)};
}

template <class T>
void insert_at_front(std::vector<T>& to, std::int64_t count) {
    to.insert(to.begin(), static_cast<std::size_t>(count), T{});
}

}  // namespace

// ---- Medians

std::optional<Gathered> Medians::at(std::int64_t index) const {
    if (index < first_ || index >= end()) return std::nullopt;
    const auto i = static_cast<std::size_t>(index - first_);
    if (counts_[i] == 0) return std::nullopt;
    return Gathered{static_cast<double>(values_[i]), counts_[i]};
}

void Medians::make_room(std::int64_t index) {
    if (values_.empty()) first_ = index;
    if (index < first_) {
        insert_at_front(values_, first_ - index);
        insert_at_front(counts_, first_ - index);
        first_ = index;
    }
    if (index < end()) return;
    const auto size = static_cast<std::size_t>(index - first_) + 1;
    constexpr std::size_t a_week = 7UL * 24 * 4;  // doubling would keep twice what is needed
    if (size > values_.capacity()) {
        values_.reserve(size + a_week);
        counts_.reserve(size + a_week);
    }
    values_.resize(size);
    counts_.resize(size);
}

void Medians::set(std::int64_t index, Gathered gathered) {
    make_room(index);
    const auto i = static_cast<std::size_t>(index - first_);
    values_[i] = static_cast<float>(gathered.value);
    counts_[i] = static_cast<std::uint16_t>(gathered.count);
}

void Medians::add_late(std::int64_t index, double value) {
    const Gathered before = at(index).value_or(Gathered{});
    const double count = before.count;
    const Gathered after = as_kept((before.value * count + value) / (count + 1), before.count + 1);
    set(index, after);
}

void Medians::forget_before(std::int64_t index) {
    const auto gone = std::clamp<std::int64_t>(index - first_, 0, end() - first_);
    values_.erase(values_.begin(), values_.begin() + gone);
    counts_.erase(counts_.begin(), counts_.begin() + gone);
    first_ += gone;
}

void Medians::forget_from(std::int64_t index) {
    const auto kept = static_cast<std::size_t>(std::clamp<std::int64_t>(index - first_, 0, end() - first_));
    values_.resize(kept);
    counts_.resize(kept);
}

// ---- BinnedSeries

double BinnedSeries::Minute::middle() const {
    if (count < 3) return sum / count;  // fewer than three have no middle
    return (sum - min - max) / (count - 2);
}

bool BinnedSeries::is_closed(std::int64_t minute) const {
    return quarters_.at(floor_div(minute, minutes_per_quarter)).has_value();
}

bool BinnedSeries::add(Timestamp at, double value) {
    const std::int64_t minute = minute_of(at);
    const std::int64_t quarter = floor_div(minute, minutes_per_quarter);
    if (quarter < quarters_.end() - quarters_kept) return false;
    value = exactly_summable(value);
    if (is_closed(minute)) {
        quarters_.add_late(quarter, value);
        if (fives_) fives_->add_late(floor_div(minute, fives_->minutes_each()), value);
        return true;
    }
    add_to_minute(minute, value);
    if (minutes_.size() > minutes_max) close_oldest(quarter);
    return true;
}

void BinnedSeries::add_to_minute(std::int64_t minute, double value) {
    auto place = minutes_.end();
    if (!minutes_.empty() && minutes_.back().index >= minute)
        place = std::ranges::lower_bound(minutes_, minute, {}, &Minute::index);
    if (place == minutes_.end() || place->index != minute) {
        if (minutes_.size() == minutes_.capacity() && minutes_.size() > minutes_max / 4) {
            const auto at = place - minutes_.begin();
            minutes_.reserve(minutes_max + 1);  // doubling would keep twice what is needed
            place = minutes_.begin() + at;
        }
        minutes_.insert(place, Minute{minute, 1, value, value, value});
        return;
    }
    ++place->count;
    place->sum += value;
    place->min = std::min(place->min, value);
    place->max = std::max(place->max, value);
}

/// `filling`: the quarter that a reading has just gone into; a backlog fills them one after another, so it
/// stays.
void BinnedSeries::close_oldest(std::int64_t filling) {
    const std::int64_t last = floor_div(minutes_[minutes_.size() - minutes_kept].index, minutes_per_quarter);
    std::int64_t closed = std::numeric_limits<std::int64_t>::min();
    for (const Minute& minute : minutes_) {
        const std::int64_t quarter = floor_div(minute.index, minutes_per_quarter);
        if (quarter >= last) break;
        if (quarter != filling && quarter != closed) close_quarter(closed = quarter);
    }
    std::erase_if(minutes_, [&](const Minute& minute) { return is_closed(minute.index); });
    if (quarters_.end() - quarters_.first() <= quarters_kept + quarters_slack) return;
    const std::int64_t from = quarters_.end() - quarters_kept;
    quarters_.forget_before(from);
    if (fives_) fives_->forget_before(from * minutes_per_quarter / fives_->minutes_each());
}

void BinnedSeries::close_quarter(std::int64_t quarter) {
    if (quarter > quarters_.end() + quarters_kept) {  // a clock that once was years behind
        quarters_.forget_before(quarters_.end());
        if (fives_) fives_->forget_before(fives_->end());
    }
    const std::int64_t from = quarter * minutes_per_quarter, to = from + minutes_per_quarter;
    if (fives_) {
        const int each = fives_->minutes_each();
        for (std::int64_t minute = from; minute < to; minute += each)
            if (const auto seen = gather(minute, minute + each)) fives_->set(floor_div(minute, each), *seen);
    }
    if (const auto seen = gather(from, to)) quarters_.set(quarter, *seen);
}

std::optional<Gathered> BinnedSeries::gather(std::int64_t from, std::int64_t to) const {
    const auto first = std::ranges::lower_bound(minutes_, from, {}, &Minute::index);
    std::vector<double> middles;
    std::uint32_t count = 0;
    for (auto minute = first; minute != minutes_.end() && minute->index < to; ++minute) {
        middles.push_back(minute->middle());
        count += minute->count;
    }
    if (middles.empty()) return std::nullopt;
    return as_kept(statistics::median(std::move(middles)), count);
}

std::optional<Gathered> BinnedSeries::quarter(Timestamp from) const {
    const std::int64_t minute = minute_of(from);
    if (is_closed(minute)) return quarters_.at(floor_div(minute, minutes_per_quarter));
    return gather(minute, minute + minutes_per_quarter);
}

std::optional<Gathered> BinnedSeries::five_minutes(Timestamp from) const {
    const std::int64_t minute = minute_of(from);
    const int each = fives_->minutes_each();
    if (is_closed(minute)) return fives_->at(floor_div(minute, each));
    return gather(minute, minute + each);
}

bool BinnedSeries::has_quarter(Timestamp from) const {
    const std::int64_t minute = minute_of(from);
    if (is_closed(minute)) return true;
    const auto first = std::ranges::lower_bound(minutes_, minute, {}, &Minute::index);
    return first != minutes_.end() && first->index < minute + minutes_per_quarter;
}

std::optional<Timestamp> BinnedSeries::next_quarter(Timestamp from) const {
    constexpr auto none = std::numeric_limits<std::int64_t>::max();
    const std::int64_t first = floor_div(minute_of(from), minutes_per_quarter);
    std::int64_t next = none;
    const auto minute = std::ranges::lower_bound(minutes_, first * minutes_per_quarter, {}, &Minute::index);
    if (minute != minutes_.end()) next = floor_div(minute->index, minutes_per_quarter);
    for (auto quarter = std::max(first, quarters_.first()); quarter < std::min(next, quarters_.end());
         ++quarter)
        if (quarters_.at(quarter)) next = quarter;
    if (next == none) return std::nullopt;
    return Timestamp{std::chrono::minutes{next * minutes_per_quarter}};
}

void BinnedSeries::forget_after(Timestamp last) {
    const std::int64_t minute = minute_of(last);
    const std::int64_t next = floor_div(minute, minutes_per_quarter) + 1;
    std::erase_if(minutes_, [&](const Minute& each) { return each.index > minute; });
    quarters_.forget_from(next);
    if (fives_) fives_->forget_from(next * minutes_per_quarter / fives_->minutes_each());
}

}  // namespace gyled::estimation
