#include "daemon/estimation/pressure_trend.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

constexpr Duration memory = 130min;
constexpr std::size_t points_max = 400;
/// A short window is asked each minute, so chance gets many tries: it must be surer than a long one.
struct Window {
    Duration span;
    double certain_sigmas;
};
constexpr std::array<Window, 4> windows{{{4min, 6.0}, {12min, 5.0}, {40min, 4.0}, {120min, 4.0}}};
/// Transducers are read to about 0.1 kPa at best: a rise must be told from that even when noise looks
/// smaller.
constexpr double noise_floor_kpa = 0.1;
constexpr double horizon_hours = 48;

double median(std::vector<double>& values) {
    const auto half = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), half, values.end());
    return *half;
}

}  // namespace

void PressureTrend::add(Timestamp at, double kpa) {
    if (!std::isfinite(kpa)) return;
    if (!points_.empty()) {
        if (at <= points_.back().at) return;
        if (at - points_.back().at > 15min)
            points_.clear();  // what lies before a silence says nothing of the rate now
        // Thin a flood to one reading per 1/400 of the memory; the newest is always kept.
        if (points_.size() >= 2 && at - points_[points_.size() - 2].at < memory / points_max)
            points_.pop_back();
    }
    points_.push_back({at, kpa});
    rising_.reset();
    while (points_.size() > points_max || at - points_.front().at > memory) points_.pop_front();
}

/// From differences of neighbours over the whole memory: a short window alone may look quieter than the
/// sensor is.
double PressureTrend::noise_kpa() const {
    std::vector<double> steps;
    for (std::size_t i = 1; i < points_.size(); ++i)
        steps.push_back(std::abs(points_[i].kpa - points_[i - 1].kpa));
    if (steps.empty()) return noise_floor_kpa;
    return std::max(noise_floor_kpa, 1.48 * median(steps) / std::sqrt(2.0));
}

/// Least squares after leaving out readings that lie far from the median line (one knock must not ring).
std::optional<PressureTrend::Rate> PressureTrend::rate_over(Duration window, double noise_kpa) const {
    const Timestamp now = points_.back().at;
    const auto first =
        std::find_if(points_.begin(), points_.end(), [&](const Point& p) { return now - p.at <= window; });
    const auto count = static_cast<std::size_t>(points_.end() - first);
    if (count < 4 || now - first->at < window * 6 / 10) return std::nullopt;

    std::vector<double> hours, kpa;
    for (auto p = first; p != points_.end(); ++p) {
        hours.push_back(-base::hours_between(p->at, now));
        kpa.push_back(p->kpa);
    }
    std::vector<double> weight(count, 1.0);
    double slope = 0, level = 0, sigma = 0;
    for (int pass = 0; pass < 3; ++pass) {
        double sw = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
        for (std::size_t i = 0; i < count; ++i) {
            const double w = weight[i];
            sw += w, sx += w * hours[i], sy += w * kpa[i];
            sxx += w * hours[i] * hours[i], sxy += w * hours[i] * kpa[i];
        }
        const double spread = sxx - sx * sx / sw;
        if (sw < 3 || spread <= 0) return std::nullopt;
        slope = (sxy - sx * sy / sw) / spread;
        level = sy / sw - slope * sx / sw;
        std::vector<double> off(count);
        for (std::size_t i = 0; i < count; ++i) off[i] = std::abs(kpa[i] - level - slope * hours[i]);
        auto sorted = off;
        const double scale = std::max(1.48 * median(sorted), noise_kpa);
        sigma = scale / std::sqrt(spread);
        for (std::size_t i = 0; i < count; ++i) weight[i] = off[i] > 4 * scale ? 0 : 1;
        weight.back() = 1;  // the newest reading is never argued away
    }
    return Rate{slope, sigma, level, window};
}

std::optional<PressureTrend::Rate> PressureTrend::certain_rate(bool falling) const {
    if (points_.empty()) return std::nullopt;
    const double sign = falling ? -1 : 1;
    const double noise = noise_kpa();
    std::optional<Rate> fastest;
    double fastest_bound = 0;
    for (const auto& [span, sigmas] : windows) {
        const auto rate = rate_over(span, noise);
        if (!rate) continue;
        const double bound = sign * rate->kpa_per_hour - sigmas * rate->sigma;
        if (bound > fastest_bound) {
            fastest = rate;
            fastest_bound = bound;
        }
    }
    return fastest;
}

std::optional<base::Estimate> PressureTrend::time_to(double limit_kpa) const {
    if (!rising_) rising_ = certain_rate();
    const auto& rate = *rising_;
    if (!rate) return std::nullopt;
    const double now = base::unix_seconds(points_.back().at);
    const double gap = std::max(0.0, limit_kpa - std::max(rate->level_kpa, points_.back().kpa));
    const double hours = gap / rate->kpa_per_hour;
    if (hours > horizon_hours) return std::nullopt;
    const double slow = rate->kpa_per_hour - 1.645 * rate->sigma;
    const double fast = rate->kpa_per_hour + 1.645 * rate->sigma;
    const double never = std::numeric_limits<double>::infinity();
    return base::Estimate{now + 3600 * hours, now + 3600 * gap / fast,
                             slow > 0 ? now + 3600 * gap / slow : never};
}

}  // namespace gyled::estimation
