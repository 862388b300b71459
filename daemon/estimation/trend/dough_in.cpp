#include "daemon/estimation/trend/dough_in.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/trend/parameters.hpp"

namespace gyled::estimation::trend {
namespace {
constexpr DoughInParameters dough_in;
}

void DoughInWatch::add(base::Timestamp at, double celsius) {
    if (!std::isfinite(celsius) || (!points_.empty() && at <= points_.back().at)) return;
    if (points_.size() >= 2 && at - points_[points_.size() - 2].at < dough_in.memory / dough_in.points_max)
        points_.pop_back();
    points_.push_back({at, celsius});
    while (points_.size() > dough_in.points_max || at - points_.front().at > dough_in.memory)
        points_.pop_front();
}

void DoughInWatch::shift(base::Duration by) {
    for (Point& point : points_) point.at += by;
}

std::optional<DoughInWatch::DoughIn> DoughInWatch::seen() const {
    if (points_.size() < dough_in.count_min) return std::nullopt;
    std::vector<double> warmest;
    for (const Point& point : points_) warmest.push_back(point.celsius);
    std::ranges::sort(warmest, std::greater{});
    warmest.resize(dough_in.count_before);
    const double liquor = statistics::median(warmest);  // one wild reading is no liquor
    const auto fallen = [&](std::size_t back) { return liquor - points_[points_.size() - back].celsius; };
    const double newest = fallen(1);
    if (liquor < dough_in.liquor_min_c || newest < dough_in.fall_min_c || newest > dough_in.fall_max_c ||
        fallen(2) < dough_in.fall_before_c)
        return std::nullopt;
    return DoughIn{points_.back().at, liquor, points_.back().celsius};
}

}  // namespace gyled::estimation::trend
