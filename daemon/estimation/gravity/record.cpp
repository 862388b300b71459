#include "daemon/estimation/gravity/record.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/estimation/gravity/parameters.hpp"
#include "daemon/estimation/statistics/line.hpp"

namespace gyled::estimation::gravity {
namespace {

constexpr RecordParameters keeping;
/// The second difference of three equal noises has sqrt(3/2) of their sigma.
const double sigma_of_difference = std::sqrt(1.5);

double sigma_from(std::vector<double> differences) {
    return statistics::sigma_per_median_deviation * statistics::median(std::move(differences)) /
           sigma_of_difference;
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

void GravityRecord::take(const GravityReading& reading, double forecast, double fall_per_hour) {
    if (recent_.size() >= 2) {
        const Judged& a = recent_[recent_.size() - 2];
        const Judged& b = recent_.back();
        const double gap = reading.hour - a.reading.hour;
        if (gap < keeping.gap_max_h) {
            const double difference = std::abs(b.reading.points - (a.reading.points + reading.points) / 2);
            differences_.push_back(difference);
            if (differences_.size() > keeping.differences) differences_.pop_front();
            fastest_ = std::max(fastest_, fall_per_hour);
            const bool is_brisk =
                fall_per_hour > std::max(keeping.brisk_share * fastest_, keeping.slow_per_h);
            auto& kept = is_brisk ? brisk_ : calm_;
            if (is_brisk || fall_per_hour < std::max(keeping.calm_share * fastest_, keeping.slow_per_h / 2))
                kept.push_back({difference * std::sqrt(static_cast<double>(reading.count)), fall_per_hour});
            if (kept.size() > keeping.restless) kept.pop_front();
        }
    }
    recent_.push_back({reading, reading.points - forecast});
    while (recent_.front().reading.hour < reading.hour - keeping.remembered_h) recent_.pop_front();
    last_hour_ = reading.hour;
}

double GravityRecord::bin_noise() const {
    if (differences_.size() < keeping.differences_min) return keeping.noise_unknown;
    return std::max(sigma_from({differences_.begin(), differences_.end()}), keeping.bin_noise_min);
}

double GravityRecord::lift_h() const {
    if (brisk_.size() < keeping.restless_min || calm_.size() < keeping.restless_min ||
        fastest_ < keeping.slow_per_h)
        return 0.0;
    const auto sigma_of = [](const std::deque<Restless>& seen) {
        std::vector<double> values;
        values.reserve(seen.size());
        for (const Restless& one : seen) values.push_back(one.difference);
        return sigma_from(std::move(values));
    };
    double rate = 0;
    for (const Restless& one : brisk_) rate += one.fall_per_hour / static_cast<double>(brisk_.size());
    const double brisk = sigma_of(brisk_);
    const double calm = sigma_of(calm_);
    // Rising bubbles push one way only: the lift goes with the noise that they add.
    const double added = std::sqrt(std::max(0.0, brisk * brisk - keeping.calm_noise * calm * calm));
    return keeping.lift_per_noise * added / rate;
}

bool GravityRecord::close_hour(double now_h) {
    const double from_h = std::max(closed_until_h_, now_h - keeping.point_from_h);
    closed_until_h_ = now_h;
    std::vector<double> residuals;
    for (const Judged& judged : recent_)
        if (judged.reading.hour > now_h - keeping.remembered_h) residuals.push_back(judged.residual);
    if (residuals.empty()) return false;
    const double usual = statistics::median(residuals);
    for (double& residual : residuals) residual = std::abs(residual - usual);
    const double gate =
        keeping.gate_sigmas *
            std::max(statistics::sigma_per_median_deviation * statistics::median(residuals), bin_noise()) +
        keeping.gate_points;

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
                       noise * noise / count + keeping.point_noise_min * keeping.point_noise_min, 1.0});
    if (points_.size() > most_points) thin();
    return true;
}

/// Merges the two neighbours that lose the least: little time and little fall between them.
void GravityRecord::thin() {
    const double fresh_from_h = points_.back().hour - keeping.fresh_h;
    std::size_t best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + 1 < points_.size() && points_[i + 1].hour < fresh_from_h; ++i) {
        const GravityPoint& a = points_[i];
        const GravityPoint& b = points_[i + 1];
        const double cost = (b.hour - a.hour) + keeping.merge_h_per_point * std::abs(a.points - b.points);
        if (cost < least) {
            least = cost;
            best = i;
        }
    }
    points_[best] = merged(points_[best], points_[best + 1]);
    points_.erase(points_.begin() + static_cast<std::ptrdiff_t>(best) + 1);
}

GravityRecord::Trend GravityRecord::trend(double from_h, double to_h) const {
    std::vector<double> days, points;
    double variance = 0, first_h = 0, last_h = 0;
    for (const GravityPoint& point : points_) {
        if (point.hour < from_h || point.hour > to_h) continue;
        if (days.empty()) first_h = point.hour;
        last_h = point.hour;
        days.push_back((point.hour - to_h) / hours_per_day);
        points.push_back(point.points);
        variance += point.variance;
    }
    Trend trend;
    trend.count = static_cast<int>(days.size());
    const auto line = statistics::fit_line(days, points);
    if (!line) return trend;
    const auto count = static_cast<double>(days.size());
    trend.points_per_day = line->slope;
    trend.sigma = std::sqrt(std::max(line->squares / (count - 2.0), variance / count) / line->spread);
    trend.span_h = last_h - first_h;
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

}  // namespace gyled::estimation::gravity
