#include "daemon/estimation/trend/heating.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>
#include <vector>

#include "daemon/brewing/brew_day.hpp"
#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/trend/parameters.hpp"

namespace gyled::estimation::trend {
namespace {

using base::Timestamp;

constexpr HeatingTrendParameters heating;
constexpr double seconds_per_hour = 3600.0;
constexpr double minutes_per_hour = 60.0;

double sigma_of_slope(const statistics::Line& line, std::size_t count) {
    const double freedom = std::max(1.0, static_cast<double>(count) - 2);
    return std::max(heating.noise_floor_c, std::sqrt(line.squares / freedom)) / std::sqrt(line.spread);
}

/// Sigma of one reading, from what lies between neighbours and their middle: a steady rate leaves nothing
/// there.
double noise_of(std::span<const Seen> seen) {
    std::vector<double> off;
    for (std::size_t i = 1; i + 1 < seen.size(); ++i) {
        const double whole = seen[i - 1].hours_ago - seen[i + 1].hours_ago;
        const double part = (seen[i - 1].hours_ago - seen[i].hours_ago) / whole;
        const double between = seen[i - 1].celsius + part * (seen[i + 1].celsius - seen[i - 1].celsius);
        off.push_back(std::abs(seen[i].celsius - between) /
                      std::sqrt(1 + part * part + (1 - part) * (1 - part)));
    }
    const double scatter = off.empty() ? 0 : statistics::sigma_per_median_deviation * statistics::median(off);
    return std::max(heating.noise_floor_c, scatter);
}

double mean_off(std::span<const double> off) {
    return std::abs(std::accumulate(off.begin(), off.end(), 0.0)) / static_cast<double>(off.size());
}

/// What one curve cannot follow shows at its ends.
bool is_one_curve(std::span<const double> off, double noise_c) {
    const std::size_t quarter = std::max<std::size_t>(1, off.size() / 4);
    const double allowed =
        heating.one_curve_c + heating.one_curve_sigmas * noise_c / std::sqrt(static_cast<double>(quarter));
    return mean_off(off.first(quarter)) < allowed && mean_off(off.last(quarter)) < allowed;
}

bool makes_sense(const LearnedHeat& it) {
    return it.edition == LearnedHeat::current_edition &&
           std::ranges::all_of(it.losses, [](double share) { return share > 0 && share <= 1; }) &&
           std::isfinite(it.heater_kw) && it.heater_kw >= 0 && std::isfinite(it.log_sigma) &&
           it.log_sigma >= 0;
}

/// kW; 0 when nobody knows.
double heater_of(const HeatKnowledge& known) {
    return known.heater_kw.value_or(known.learned.heater_kw);
}

}  // namespace

void HeatingTrend::set_learned(const LearnedHeat& learned) {
    known_.learned = makes_sense(learned) ? learned : LearnedHeat{};
}

bool HeatingTrend::learn() {
    const auto now = balance(true);
    if (!now || !(known_.litres > 0)) return false;
    const auto& off = now->off();
    const std::size_t first = points_.size() - off.size();
    if (points_.back().celsius - points_[first].celsius < heating.taught_rise_c) return false;
    known_.learned = now->taught();
    return true;
}

/// A monotone queue: what was no warmer than a later reading will never be the warmest again.
void HeatingTrend::note_warmest(Timestamp at, double celsius) {
    if (!falling_.empty() && at <= falling_.back().at) return;
    while (!falling_.empty() && falling_.back().celsius <= celsius) falling_.pop_back();
    if (falling_.size() >= heating.points_max) falling_.pop_back();  // a flood: the front is what counts
    falling_.push_back({at, celsius});
    while (at - falling_.front().at > heating.rate_window) falling_.pop_front();
}

std::optional<double> HeatingTrend::warmest_c() const {
    return falling_.empty() ? std::nullopt : std::optional{falling_.front().celsius};
}

void HeatingTrend::add(Timestamp at, double celsius) {
    if (!std::isfinite(celsius)) return;
    note_warmest(at, celsius);
    if (!points_.empty()) {
        if (at <= points_.back().at) return;
        const double step = std::abs(celsius - points_.back().celsius);
        // A dough-in, a transfer or a silence starts a new curve: the old slope says nothing any more.
        if (at - points_.back().at > heating.silence_max || step > heating.step_max_c) points_.clear();
        if (points_.size() >= 2 && at - points_[points_.size() - 2].at < heating.memory / heating.points_max)
            points_.pop_back();
    }
    points_.push_back({at, celsius});
    while (points_.size() > heating.points_max || at - points_.front().at > heating.memory)
        points_.pop_front();
}

void HeatingTrend::shift(base::Duration by) {
    for (Point& point : points_) point.at += by;
    for (Point& point : falling_) point.at += by;
}

std::optional<HeatingTrend::Rate> HeatingTrend::rate() const {
    if (points_.size() < heating.rate_count_min) return std::nullopt;
    const Timestamp now = points_.back().at;
    std::vector<double> hours, celsius;
    for (const Point& p : points_)
        if (now - p.at <= heating.rate_window)
            hours.push_back(-base::hours_between(p.at, now)), celsius.push_back(p.celsius);
    if (hours.size() < heating.rate_count_min || hours.front() > -heating.rate_span_min_h)
        return std::nullopt;
    const auto line = statistics::fit_line(hours, celsius);
    if (!line) return std::nullopt;
    return Rate{line->slope, sigma_of_slope(*line, hours.size()), line->level};
}

std::optional<HeatBalance> HeatingTrend::balance(bool warms) const {
    std::vector<Seen> seen;
    for (const Point& p : points_) seen.push_back({base::hours_between(p.at, points_.back().at), p.celsius});
    std::optional<HeatBalance> out;
    for (const base::Duration span : heating.spans) {
        const double hours = base::hours_between(Timestamp{}, Timestamp{span});
        const auto from =
            std::find_if(seen.begin(), seen.end(), [&](const Seen& one) { return one.hours_ago <= hours; });
        const std::span stretch{from, seen.end()};
        if (stretch.size() < heating.rate_count_min) break;
        const double noise = noise_of(stretch);
        // Many readings a minute share what is wrong with them.
        const double apart_h = stretch.front().hours_ago / static_cast<double>(stretch.size() - 1);
        const double alike_h = base::hours_between(Timestamp{}, Timestamp{heating.alike_for});
        const double shared = std::sqrt(std::max(1.0, alike_h / apart_h));
        auto balance = HeatBalance::of(stretch, noise * shared, warms, known_);
        if (!balance) break;
        out = std::move(balance);
        if (is_one_curve(out->off(), noise * shared)) break;
    }
    return out;
}

std::optional<base::Estimate> HeatingTrend::time_by_heater(double target_c) const {
    const double heater_kw = heater_of(known_);
    if (points_.empty() || !(heater_kw > 0) || !(known_.litres > 0)) return std::nullopt;
    const Point& now = points_.back();
    const bool cools = points_.size() >= 2 && now.celsius < points_[points_.size() - 2].celsius;
    if (cools || target_c - now.celsius < heating.there_c) return std::nullopt;
    const auto moment = [&](double share) {
        const brewing::Heating heater{known_.litres, heater_kw, share};
        const double hours = brewing::heat_up_minutes(heater, now.celsius, target_c) / minutes_per_hour;
        return base::unix_seconds(now.at) + seconds_per_hour * hours;
    };
    return base::Estimate{moment(heating.heater_share), moment(heating.heater_share_high),
                          moment(heating.heater_share_low)};
}

std::optional<base::Estimate> HeatingTrend::heats_as_litres() const {
    const auto now_rate = rate();
    if (!known_.heater_kw || !now_rate || now_rate->c_per_hour < heating.fill_speed_min_per_h ||
        now_rate->c_per_hour < heating.certain_sigmas * now_rate->sigma)
        return std::nullopt;
    const auto now = balance(true);
    return now ? now->litres_under(*known_.heater_kw) : std::nullopt;
}

std::optional<base::Estimate> HeatingTrend::levels_off_above(double target_c) const {
    const auto now_rate = rate();
    const bool has_cooled =
        now_rate && warmest_c() && *warmest_c() - now_rate->level_c > heating.chilled_min_c;
    if (!has_cooled || now_rate->c_per_hour > heating.certain_sigmas * now_rate->sigma) return std::nullopt;
    const auto now = balance(false);
    const auto end = now ? now->levels_off_c() : std::nullopt;
    const bool is_certain = end && end->low > target_c + heating.there_c &&
                            end->high - end->low < heating.levels_off_within_c &&
                            end->low < now_rate->level_c;
    return is_certain ? end : std::nullopt;
}

std::optional<base::Estimate> HeatingTrend::time_to(double target_c) const {
    const auto now_rate = rate();
    if (!now_rate) return time_by_heater(target_c);
    const double gap = target_c - now_rate->level_c;
    const double speed = gap > 0 ? now_rate->c_per_hour : -now_rate->c_per_hour;  // towards the target
    if (std::abs(gap) < heating.there_c || speed < heating.certain_sigmas * now_rate->sigma ||
        speed < heating.speed_min_per_h)
        return std::nullopt;
    const auto now = balance(gap > 0);
    const auto hours = now ? now->hours_to(target_c) : std::nullopt;
    if (!hours || !(hours->value < heating.horizon_h)) return std::nullopt;
    const double start = base::unix_seconds(points_.back().at);
    return base::Estimate{start + seconds_per_hour * hours->value, start + seconds_per_hour * hours->low,
                          start + seconds_per_hour * hours->high};
}

}  // namespace gyled::estimation::trend
