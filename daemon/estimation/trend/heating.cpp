#include "daemon/estimation/trend/heating.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>
#include <vector>

#include "daemon/brewing/brew_day.hpp"
#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"
#include "daemon/estimation/trend/parameters.hpp"

namespace gyled::estimation::trend {
namespace {

using base::Timestamp;
using statistics::sigmas_of_90_percent;

constexpr HeatingTrendParameters heating;
constexpr double seconds_per_hour = 3600.0;
constexpr double minutes_per_hour = 60.0;
constexpr double infinity = std::numeric_limits<double>::infinity();

double sigma_of_slope(const statistics::Line& line, std::size_t count) {
    const double freedom = std::max(1.0, static_cast<double>(count) - 2);
    return std::max(heating.noise_floor_c, std::sqrt(line.squares / freedom)) / std::sqrt(line.spread);
}

/// Solves distance = speed / k (1 - exp(-k t)) for t, hours; infinite when the curve levels off before.
double hours_to(double distance, double speed, double k) {
    constexpr double straight = 1e-6;  // 1/h: as good as no bend
    if (speed <= 0) return infinity;
    if (k < straight) return distance / speed;
    const double part = distance * k / speed;
    return part >= 1 ? infinity : -std::log1p(-part) / k;
}

}  // namespace

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

/// How fast does the rate itself fall off? Compares the older half of the memory with the newer one, and
/// weighs what is seen against what is usual.
HeatingTrend::Decay HeatingTrend::decay() const {
    Decay unseen{0.0, heating.decay_unseen_sigma};
    std::vector<double> hours, celsius;
    for (const Point& p : points_) {
        hours.push_back(-base::hours_between(p.at, points_.back().at));
        celsius.push_back(p.celsius);
    }
    const std::size_t half = hours.size() / 2;
    if (half < heating.half_count_min || hours.front() >= -heating.bend_span_min_h) return unseen;
    const std::span h{hours}, c{celsius};
    const auto early = statistics::fit_line(h.first(half), c.first(half));
    const auto late = statistics::fit_line(h.subspan(half), c.subspan(half));
    if (!early || !late || early->slope * late->slope <= 0) return unseen;
    const double apart = (hours.back() + hours[half]) / 2 - (hours[half - 1] + hours.front()) / 2;
    const double seen = std::log(std::abs(early->slope / late->slope)) / apart;
    const double seen_sigma = std::hypot(sigma_of_slope(*early, half) / early->slope,
                                         sigma_of_slope(*late, hours.size() - half) / late->slope) /
                              std::max(heating.halves_apart_min_h, apart);
    const double w = 1 / (seen_sigma * seen_sigma);
    const double v = 1 / (heating.decay_prior_sigma * heating.decay_prior_sigma);
    return {std::clamp((w * seen + v * heating.decay_prior) / (w + v), 0.0, heating.decay_max),
            std::sqrt(1 / (w + v))};
}

std::optional<base::Estimate> HeatingTrend::time_by_heater(double target_c) const {
    if (points_.empty() || !context_.heater_kw || !(*context_.heater_kw > 0) || !(context_.litres > 0))
        return std::nullopt;
    const Point& now = points_.back();
    const bool cools = points_.size() >= 2 && now.celsius < points_[points_.size() - 2].celsius;
    if (cools || target_c - now.celsius < heating.there_c) return std::nullopt;
    const auto moment = [&](double share) {
        const brewing::Heating heater{context_.litres, *context_.heater_kw, share};
        const double hours = brewing::heat_up_minutes(heater, now.celsius, target_c) / minutes_per_hour;
        return base::unix_seconds(now.at) + seconds_per_hour * hours;
    };
    return base::Estimate{moment(heating.heater_share), moment(heating.heater_share_high),
                          moment(heating.heater_share_low)};
}

std::optional<base::Estimate> HeatingTrend::time_to(double target_c) const {
    const auto now_rate = rate();
    if (!now_rate) return time_by_heater(target_c);
    const double gap = target_c - now_rate->level_c;
    const double speed = gap > 0 ? now_rate->c_per_hour : -now_rate->c_per_hour;  // towards the target
    if (std::abs(gap) < heating.there_c || speed < heating.certain_sigmas * now_rate->sigma ||
        speed < heating.speed_min_per_h)
        return std::nullopt;

    const auto [k, k_sigma] = decay();
    // The line's slope belongs to the middle of its window; since then the rate has gone on falling off.
    const double memory_h = base::hours_between(points_.front().at, points_.back().at);
    const double window_h = base::hours_between(Timestamp{}, Timestamp{heating.rate_window});
    const double middle_age_h = std::min(window_h, memory_h) / 2;
    const auto hours_at = [&](double speed_sigmas, double decay_per_hour) {
        const double then = speed + speed_sigmas * now_rate->sigma;
        return hours_to(std::abs(gap), then * std::exp(-decay_per_hour * middle_age_h), decay_per_hour);
    };
    const double middle = hours_at(0, k);
    if (!(middle < heating.horizon_h)) return std::nullopt;
    const double slow = hours_at(-sigmas_of_90_percent, k + sigmas_of_90_percent * k_sigma);
    const double fast = hours_at(sigmas_of_90_percent, std::max(0.0, k - sigmas_of_90_percent * k_sigma));
    const double start = base::unix_seconds(points_.back().at);
    return base::Estimate{start + seconds_per_hour * middle, start + seconds_per_hour * fast,
                          start + seconds_per_hour * slow};
}

}  // namespace gyled::estimation::trend
