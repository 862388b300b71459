#include "daemon/estimation/heating.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

constexpr Duration memory = 40min;
constexpr std::size_t points_max = 200;
constexpr double noise_floor_c = 0.06;  // a digital probe's step: 0.0625 degC at 12 bit
constexpr double horizon_hours = 48;

struct Line {
    double slope = 0, level = 0, sigma = 0;  // per hour, at hour 0 (= now)
};

/// Least squares through (hours before now, degC); `count` at least 3.
Line fit(const std::vector<double>& hours, const std::vector<double>& celsius, std::size_t from,
         std::size_t to) {
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    const auto n = static_cast<double>(to - from);
    for (std::size_t i = from; i < to; ++i) {
        sx += hours[i], sy += celsius[i];
        sxx += hours[i] * hours[i], sxy += hours[i] * celsius[i];
    }
    const double spread = std::max(1e-9, sxx - sx * sx / n);
    Line line;
    line.slope = (sxy - sx * sy / n) / spread;
    line.level = sy / n - line.slope * sx / n;
    double squares = 0;
    for (std::size_t i = from; i < to; ++i) {
        const double off = celsius[i] - line.level - line.slope * hours[i];
        squares += off * off;
    }
    line.sigma = std::max(noise_floor_c, std::sqrt(squares / std::max(1.0, n - 2))) / std::sqrt(spread);
    return line;
}

}  // namespace

void HeatingTrend::add(Timestamp at, double celsius) {
    if (!std::isfinite(celsius)) return;
    if (!points_.empty()) {
        if (at <= points_.back().at) return;
        const double step = std::abs(celsius - points_.back().celsius);
        // A dough-in, a transfer or a silence starts a new curve: the old slope says nothing any more.
        if (at - points_.back().at > 10min || step > 2.5) points_.clear();
        if (points_.size() >= 2 && at - points_[points_.size() - 2].at < memory / points_max)
            points_.pop_back();
    }
    points_.push_back({at, celsius});
    while (points_.size() > points_max || at - points_.front().at > memory) points_.pop_front();
}

std::optional<HeatingTrend::Rate> HeatingTrend::rate() const {
    if (points_.size() < 4) return std::nullopt;
    const Timestamp now = points_.back().at;
    std::vector<double> hours, celsius;
    for (const Point& p : points_)
        if (now - p.at <= 15min)
            hours.push_back(-base::hours_between(p.at, now)), celsius.push_back(p.celsius);
    if (hours.size() < 4 || hours.front() > -0.04) return std::nullopt;
    const Line line = fit(hours, celsius, 0, hours.size());
    return Rate{line.slope, line.sigma, line.level};
}

std::optional<base::Estimate> HeatingTrend::time_to(double target_c) const {
    const auto now_rate = rate();
    if (!now_rate) return std::nullopt;
    const double gap = target_c - now_rate->level_c;
    const double speed = gap > 0 ? now_rate->c_per_hour : -now_rate->c_per_hour;  // towards the target
    if (std::abs(gap) < 0.1 || speed < 3 * now_rate->sigma || speed < 0.3) return std::nullopt;

    // How fast does the rate itself fall off? Compare the older half of the memory with the newer one.
    double decay_per_hour = 0, decay_sigma = 0.15;
    std::vector<double> hours, celsius;
    const Timestamp now = points_.back().at;
    for (const Point& p : points_)
        hours.push_back(-base::hours_between(p.at, now)), celsius.push_back(p.celsius);
    const std::size_t half = hours.size() / 2;
    if (half >= 4 && hours.front() < -0.2) {
        const Line early = fit(hours, celsius, 0, half);
        const Line late = fit(hours, celsius, half, hours.size());
        const double apart = (hours.back() + hours[half]) / 2 - (hours[half - 1] + hours.front()) / 2;
        if (early.slope * late.slope > 0) {
            const double seen = std::log(std::abs(early.slope / late.slope)) / apart;
            const double seen_sigma =
                std::hypot(early.sigma / early.slope, late.sigma / late.slope) / std::max(0.05, apart);
            // Losses of a jacketed vessel give 0.02 to 0.5 per hour; weigh what is seen against that (common
            // practice).
            const double prior = 0.15, prior_sigma = 0.2;
            const double w = 1 / (seen_sigma * seen_sigma), v = 1 / (prior_sigma * prior_sigma);
            decay_per_hour = std::clamp((w * seen + v * prior) / (w + v), 0.0, 5.0);
            decay_sigma = std::sqrt(1 / (w + v));
        }
    }
    // The line's slope belongs to the middle of its window; since then the rate has gone on falling off.
    const double middle_age = std::min(0.25, -hours.front()) / 2;
    const double distance = std::abs(gap);
    // distance = speed / k (1 - exp(-k t))
    const auto hours_to = [&](double v, double k) {
        if (v <= 0) return std::numeric_limits<double>::infinity();
        if (k < 1e-6) return distance / v;
        const double part = distance * k / v;
        return part >= 1 ? std::numeric_limits<double>::infinity() : -std::log1p(-part) / k;
    };
    const auto speed_now = [&](double v, double k) { return v * std::exp(-k * middle_age); };
    const double slow_k = decay_per_hour + 1.645 * decay_sigma,
                 fast_k = std::max(0.0, decay_per_hour - 1.645 * decay_sigma);
    const double middle = hours_to(speed_now(speed, decay_per_hour), decay_per_hour);
    if (!(middle < horizon_hours)) return std::nullopt;
    const double slow = hours_to(speed_now(speed - 1.645 * now_rate->sigma, slow_k), slow_k);
    const double fast = hours_to(speed_now(speed + 1.645 * now_rate->sigma, fast_k), fast_k);
    const double start = base::unix_seconds(now);
    return base::Estimate{start + 3600 * middle, start + 3600 * fast, start + 3600 * slow};
}

}  // namespace gyled::estimation
