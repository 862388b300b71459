#include "daemon/estimation/gravity_record.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::estimation {
namespace {

constexpr double remembered_h = 3.0;
constexpr std::size_t remembered_differences = 64;
constexpr std::size_t remembered_restless = 192;
/// Below this no sensor is believed to be: it wanders between its readings, and rounds them.
constexpr double least_bin_noise = 0.15;
constexpr double least_point_noise = 0.08;
/// Slower than this, points per hour, nothing lifts a float.
constexpr double slow_per_hour = 0.1;
/// Points younger than this are not merged: the trend rules look at them.
constexpr double fresh_h = 30.0;

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

GravityPoint merged(const GravityPoint& a, const GravityPoint& b) {
    const double weight_a = 1.0 / a.variance;
    const double weight_b = 1.0 / b.variance;
    const double sum = weight_a + weight_b;
    const double x = weight_a / sum;
    const double y = weight_b / sum;
    return {x * a.hour + y * b.hour, x * a.thermal + y * b.thermal, x * a.points + y * b.points, 1.0 / sum,
            a.span_h + b.span_h};
}

}  // namespace

void GravityRecord::take(const GravityReading& reading, double foreseen, double fall_per_hour) {
    if (recent_.size() >= 2) {
        const Judged& a = recent_[recent_.size() - 2];
        const Judged& b = recent_.back();
        const double gap = reading.hour - a.reading.hour;
        if (gap < 1.0) {
            const double difference = std::abs(b.reading.points - 0.5 * (a.reading.points + reading.points));
            differences_.push_back(difference);
            if (differences_.size() > remembered_differences) differences_.pop_front();
            fastest_ = std::max(fastest_, fall_per_hour);
            const bool is_brisk = fall_per_hour > std::max(0.5 * fastest_, slow_per_hour);
            auto& kept = is_brisk ? brisk_ : calm_;
            if (is_brisk || fall_per_hour < std::max(0.15 * fastest_, 0.5 * slow_per_hour))
                kept.push_back({difference * std::sqrt(static_cast<double>(reading.count)), fall_per_hour});
            if (kept.size() > remembered_restless) kept.pop_front();
        }
    }
    recent_.push_back({reading, reading.points - foreseen});
    while (recent_.front().reading.hour < reading.hour - remembered_h) recent_.pop_front();
    last_hour_ = reading.hour;
}

double GravityRecord::bin_noise() const {
    if (differences_.size() < 8) return 1.0;
    const double sigma = median({differences_.begin(), differences_.end()}) / 0.6745 / std::sqrt(1.5);
    return std::max(sigma, least_bin_noise);
}

double GravityRecord::lift_h() const {
    if (brisk_.size() < 16 || calm_.size() < 16 || fastest_ < slow_per_hour) return 0.0;
    const auto sigma_of = [](const std::deque<Restless>& seen) {
        std::vector<double> values;
        values.reserve(seen.size());
        for (const Restless& one : seen) values.push_back(one.difference);
        return median(std::move(values)) / 0.6745 / std::sqrt(1.5);
    };
    double rate = 0;
    for (const Restless& one : brisk_) rate += one.fall_per_hour / static_cast<double>(brisk_.size());
    const double brisk = sigma_of(brisk_);
    const double calm = sigma_of(calm_);
    // The magnitude of a normal variate has a mean of 1.3 of its own sigma; half of it is thought to be
    // upward.
    return 0.9 * std::sqrt(std::max(0.0, brisk * brisk - 1.1 * calm * calm)) / rate;
}

bool GravityRecord::close_hour(double now_h) {
    const double from_h = std::max(closed_until_h_, now_h - 1.5);
    closed_until_h_ = now_h;
    std::vector<double> residuals;
    for (const Judged& judged : recent_)
        if (judged.reading.hour > now_h - remembered_h) residuals.push_back(judged.residual);
    if (residuals.empty()) return false;
    const double usual = median(residuals);
    for (double& residual : residuals) residual = std::abs(residual - usual);
    const double gate = 4.0 * std::max(median(residuals) / 0.6745, bin_noise()) + 0.3;

    GravityPoint sum;
    double count = 0;
    for (const Judged& judged : recent_) {
        if (judged.reading.hour <= from_h || std::abs(judged.residual - usual) > gate) continue;
        sum.hour += judged.reading.hour;
        sum.thermal = sum.thermal + judged.reading.thermal;
        sum.points += judged.reading.points;
        count += 1.0;
    }
    if (count == 0.0) return false;
    const double noise = bin_noise();
    points_.push_back({sum.hour / count, (1.0 / count) * sum.thermal, sum.points / count,
                       noise * noise / count + least_point_noise * least_point_noise, 1.0});
    if (points_.size() > most_points) thin();
    return true;
}

/// Merges the two neighbours that lose the least: little time and little fall between them.
void GravityRecord::thin() {
    const double fresh_from_h = points_.back().hour - fresh_h;
    std::size_t best = 0;
    double least = 1e300;
    for (std::size_t i = 0; i + 1 < points_.size() && points_[i + 1].hour < fresh_from_h; ++i) {
        const GravityPoint& a = points_[i];
        const GravityPoint& b = points_[i + 1];
        const double cost = (b.hour - a.hour) + 12.0 * std::abs(a.points - b.points);
        if (cost < least) {
            least = cost;
            best = i;
        }
    }
    points_[best] = merged(points_[best], points_[best + 1]);
    points_.erase(points_.begin() + static_cast<std::ptrdiff_t>(best) + 1);
}

GravityRecord::Trend GravityRecord::trend(double from_h, double to_h) const {
    double n = 0, t = 0, y = 0, tt = 0, ty = 0, yy = 0, variance = 0, first = 1e300, last = -1e300;
    for (const GravityPoint& point : points_) {
        if (point.hour < from_h || point.hour > to_h) continue;
        const double day = (point.hour - to_h) / 24.0;
        n += 1;
        t += day;
        y += point.points;
        variance += point.variance;
        first = std::min(first, point.hour);
        last = std::max(last, point.hour);
    }
    Trend trend;
    trend.count = static_cast<int>(n);
    if (n < 3) return trend;
    t /= n;
    y /= n;
    variance /= n;
    for (const GravityPoint& point : points_) {
        if (point.hour < from_h || point.hour > to_h) continue;
        const double x = (point.hour - to_h) / 24.0 - t;
        const double z = point.points - y;
        tt += x * x;
        ty += x * z;
        yy += z * z;
    }
    if (tt <= 0.0) return trend;
    trend.points_per_day = ty / tt;
    const double scatter = std::max(0.0, yy - trend.points_per_day * ty) / (n - 2.0);
    trend.sigma = std::sqrt(std::max(scatter, variance) / tt);
    trend.span_h = last - first;
    return trend;
}

GravityRecord::Level GravityRecord::level(double from_h, double to_h) const {
    double weight = 0, sum = 0;
    Level level;
    for (const GravityPoint& point : points_) {
        if (point.hour < from_h || point.hour > to_h) continue;
        weight += 1.0 / point.variance;
        sum += point.points / point.variance;
        ++level.count;
    }
    if (level.count == 0) return level;
    level.points = sum / weight;
    level.sigma = std::sqrt(1.0 / weight);
    return level;
}

}  // namespace gyled::estimation
