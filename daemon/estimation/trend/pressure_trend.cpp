#include "daemon/estimation/trend/pressure_trend.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "daemon/brewing/dissolution.hpp"
#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"
#include "daemon/estimation/trend/parameters.hpp"

namespace gyled::estimation::trend {
namespace {

using base::Duration;
using base::Timestamp;

constexpr PressureTrendParameters pressure;
constexpr double seconds_per_hour = 3600.0;

constexpr double never = std::numeric_limits<double>::infinity();

/// Hours for `gap_kpa` of a rise that has `whole_kpa` to go and slows with what is left of it, as first-order
/// uptake does.
double levelling_off_h(double gap_kpa, double whole_kpa, double kpa_per_hour) {
    if (gap_kpa >= whole_kpa) return gap_kpa > 0 ? never : 0;
    return -std::log1p(-gap_kpa / whole_kpa) * whole_kpa / kpa_per_hour;
}

/// A rise that was seen over a window and goes on: at its rate, or slower as the beer takes up its share.
class Course {
public:
    Course(const std::optional<Settling>& settling, Duration window) : settling_{settling} {
        if (!settling) return;
        const double window_h = base::hours_between(Timestamp{}, Timestamp{} + window);
        middle_h_ = std::max(0.0, settling->shut_h - window_h / 2);
    }
    /// Hours until so much has been gained, by this end of the share that stays above.
    [[nodiscard]] double hours_to(double gap_kpa, double kpa_per_hour, double base::Estimate::*share) const {
        if (!settling_) return gap_kpa / kpa_per_hour;
        const double made = kpa_per_hour / above(settling_->share.*share, middle_h_);
        double low = 0, high = gap_kpa / (made * (settling_->share.*share));
        for (int halving = 0; halving < pressure.halvings; ++halving) {
            const double hours = (low + high) / 2;
            (made * gained(settling_->share.*share, hours) < gap_kpa ? low : high) = hours;
        }
        return high;
    }

private:
    [[nodiscard]] double above(double share, double hours) const {
        return brewing::share_above_beer(share, settling_->settles_h, hours);
    }
    /// Of one kPa an hour that is made, from now on: the integral of what stays above.
    [[nodiscard]] double gained(double share, double hours) const {
        const double passing = above(share, settling_->shut_h) - share;
        return share * hours - passing * settling_->settles_h * std::expm1(-hours / settling_->settles_h);
    }
    std::optional<Settling> settling_;
    double middle_h_ = 0;
};

/// Do the newest readings all lie off the line, where it does not lead: below a rising, above a falling one?
bool has_left(const statistics::Line& line, const std::vector<double>& hours, const std::vector<double>& kpa,
              double far_kpa) {
    if (kpa.size() < pressure.left_count) return false;
    const double sign = line.slope > 0 ? -1 : 1;
    for (std::size_t i = kpa.size() - pressure.left_count; i < kpa.size(); ++i)
        if (sign * (kpa[i] - line.at(hours[i])) < far_kpa) return false;
    return true;
}

}  // namespace

void PressureTrend::add(Timestamp at, double kpa) {
    if (!std::isfinite(kpa)) return;
    if (!points_.empty()) {
        if (at <= points_.back().at) return;
        if (at - points_.back().at > pressure.silence_max)
            points_.clear();  // what lies before a silence says nothing of the rate now
        // Thin a flood to so many in the memory; the newest is always kept.
        if (points_.size() >= 2 &&
            at - points_[points_.size() - 2].at < pressure.memory / pressure.points_max)
            points_.pop_back();
    }
    points_.push_back({at, kpa});
    rising_.reset();
    falling_.reset();
    while (points_.size() > pressure.points_max || at - points_.front().at > pressure.memory)
        points_.pop_front();
}

void PressureTrend::shift(Duration by) {
    for (Point& point : points_) point.at += by;
    rising_.reset();
    falling_.reset();
}

/// From differences of neighbours over the whole memory: a short window alone may look quieter than the
/// sensor is.
double PressureTrend::noise_kpa() const {
    std::vector<double> steps;
    for (std::size_t i = 1; i < points_.size(); ++i)
        steps.push_back(std::abs(points_[i].kpa - points_[i - 1].kpa));
    if (steps.empty()) return pressure.noise_floor_kpa;
    static const double sigma_of_step = std::sqrt(2.0);  // the difference of two equal noises
    return std::max(pressure.noise_floor_kpa, statistics::sigma_per_median_deviation *
                                                  statistics::median(std::move(steps)) / sigma_of_step);
}

/// Least squares after leaving out readings that lie far from the line; the newest only on the side where the
/// line does not lead: a burst is never argued away, and one knock hides no rise.
std::optional<PressureTrend::Rate> PressureTrend::rate_over(Duration window, double noise_kpa,
                                                            double sign) const {
    const Timestamp now = points_.back().at;
    const auto first =
        std::find_if(points_.begin(), points_.end(), [&](const Point& p) { return now - p.at <= window; });
    std::vector<double> hours, kpa;
    for (auto p = first; p != points_.end(); ++p) {
        hours.push_back(-base::hours_between(p->at, now));
        kpa.push_back(p->kpa);
    }
    const double window_h = base::hours_between(now - window, now);
    if (hours.size() < pressure.window_count_min || -hours.front() < pressure.window_covered * window_h)
        return std::nullopt;
    std::vector<double> weight(hours.size(), 1.0);
    Rate rate{0, 0, 0, window};
    for (int pass = 0; pass < pressure.passes; ++pass) {
        const auto line = statistics::fit_line(hours, kpa, weight);
        if (!line) return std::nullopt;
        std::vector<double> off(hours.size());
        for (std::size_t i = 0; i < off.size(); ++i) off[i] = std::abs(kpa[i] - line->at(hours[i]));
        const double scale =
            std::max(statistics::sigma_per_median_deviation * statistics::median(off), noise_kpa);
        rate = {line->slope, scale / std::sqrt(line->spread), line->level, window};
        for (std::size_t i = 0; i < off.size(); ++i)
            weight[i] = off[i] > pressure.outlier_scales * scale ? 0 : 1;
        if (sign * (kpa.back() - line->at(hours.back())) > 0) weight.back() = 1;
        if (pass + 1 == pressure.passes && has_left(*line, hours, kpa, pressure.outlier_scales * scale))
            return std::nullopt;
    }
    return rate;
}

std::optional<PressureTrend::Rate> PressureTrend::rate_since(Timestamp from) const {
    if (points_.empty()) return std::nullopt;
    const Timestamp now = points_.back().at;
    std::vector<double> hours, kpa;
    for (const Point& point : points_)
        if (point.at >= from) hours.push_back(-base::hours_between(point.at, now)), kpa.push_back(point.kpa);
    const double span_min_h = base::hours_between(now - pressure.windows.front().span, now);
    if (hours.size() < pressure.window_count_min || -hours.front() < span_min_h) return std::nullopt;
    const auto line = statistics::fit_line(hours, kpa);
    if (!line) return std::nullopt;
    return Rate{line->slope, noise_kpa() / std::sqrt(line->spread), line->level, now - from};
}

std::optional<PressureTrend::Rate> PressureTrend::certain_rate(bool falling) const {
    auto& known = falling ? falling_ : rising_;
    if (!known) known = fastest_certain(falling ? -1 : 1);
    return *known;
}

std::optional<PressureTrend::Rate> PressureTrend::fastest_certain(double sign) const {
    if (points_.empty()) return std::nullopt;
    const double noise = noise_kpa();
    std::optional<Rate> fastest;
    double fastest_bound = 0;
    double slowest = std::numeric_limits<double>::infinity();
    for (const auto& [span, sigmas] : pressure.windows) {
        const auto rate = rate_over(span, noise, sign);
        if (!rate) continue;
        const double bound = sign * rate->kpa_per_hour - sigmas * rate->sigma;
        if (bound > 0) slowest = std::min(slowest, sign * rate->kpa_per_hour);
        if (bound > fastest_bound) {
            fastest = rate;
            fastest_bound = bound;
        }
    }
    if (fastest) fastest->slowest_kpa_per_hour = slowest;
    return fastest;
}

bool PressureTrend::would_show_a_rise() const {
    if (points_.empty()) return false;
    const Point& first = points_.front();
    const Point& last = points_.back();
    return last.at - first.at >= pressure.rise_shows_after || last.kpa < first.kpa;
}

/// A certain rise; of what was shut within its window, since then alone.
std::optional<PressureTrend::Rate> PressureTrend::rise_so_far(const std::optional<Settling>& settling) const {
    const auto rate = certain_rate();
    if (!rate || !settling || base::hours(settling->shut_h) >= rate->window) return rate;
    auto since = rate_since(points_.back().at - base::hours(settling->shut_h));
    if (!since || !(since->kpa_per_hour > 0)) return std::nullopt;
    since->slowest_kpa_per_hour = since->kpa_per_hour;
    return since;
}

std::optional<double> PressureTrend::reading_before(Timestamp moment) const {
    const auto after =
        std::ranges::upper_bound(points_, moment, {}, [](const Point& point) { return point.at; });
    return after == points_.begin() ? std::nullopt : std::optional{std::prev(after)->kpa};
}

std::optional<base::Estimate> PressureTrend::time_to(double limit_kpa, std::optional<double> ends_kpa,
                                                     const std::optional<Settling>& settling) const {
    const auto rate = rise_so_far(settling);
    if (!rate) return std::nullopt;
    const double now = base::unix_seconds(points_.back().at);
    const double gap = std::max(0.0, limit_kpa - std::max(rate->level_kpa, points_.back().kpa));
    const Course course{settling, rate->window};
    const double hours = course.hours_to(gap, rate->kpa_per_hour, &base::Estimate::value);
    if (hours > pressure.horizon_h) return std::nullopt;
    const double straight_h = gap / rate->kpa_per_hour;
    const double change = std::min(pressure.rate_change_max, pressure.rate_change * std::sqrt(straight_h));
    const auto doubt = [&](double kpa_per_hour) {
        return statistics::sigmas_of_90_percent * std::hypot(rate->sigma, change * kpa_per_hour);
    };
    const double slow = rate->slowest_kpa_per_hour - doubt(rate->slowest_kpa_per_hour);
    const double fast = rate->kpa_per_hour + doubt(rate->kpa_per_hour);
    double late_h = slow > 0 ? course.hours_to(gap, slow, &base::Estimate::low) : never;
    if (ends_kpa)
        late_h = std::max(late_h, levelling_off_h(gap, *ends_kpa - limit_kpa + gap, rate->kpa_per_hour));
    const double early_h = course.hours_to(gap, fast, &base::Estimate::high);
    return base::Estimate{now + seconds_per_hour * hours, now + seconds_per_hour * early_h,
                          now + seconds_per_hour * late_h};
}

std::optional<PressureTrend::Level> PressureTrend::level_before() const {
    std::vector<double> kpa;
    for (const Point& point : points_) {
        const Duration age = points_.back().at - point.at;
        if (age >= pressure.before_from && age <= pressure.before_until) kpa.push_back(point.kpa);
    }
    if (kpa.size() < pressure.before_count_min) return std::nullopt;
    return Level{statistics::median(std::move(kpa)), noise_kpa()};
}

}  // namespace gyled::estimation::trend
