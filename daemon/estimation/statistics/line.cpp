#include "daemon/estimation/statistics/line.hpp"

#include <algorithm>
#include <boost/math/statistics/univariate_statistics.hpp>

namespace gyled::estimation::statistics {

std::optional<Line> fit_line(std::span<const double> x, std::span<const double> y,
                             std::span<const double> weights) {
    constexpr double points_min = 3;  // two make any line perfect
    const auto weight = [&](std::size_t i) { return weights.empty() ? 1.0 : weights[i]; };
    double n = 0, mean_x = 0, mean_y = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        n += weight(i);
        mean_x += weight(i) * x[i];
        mean_y += weight(i) * y[i];
    }
    if (n < points_min) return std::nullopt;
    mean_x /= n;
    mean_y /= n;
    double xx = 0, xy = 0, yy = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double dx = x[i] - mean_x, dy = y[i] - mean_y;
        xx += weight(i) * dx * dx;
        xy += weight(i) * dx * dy;
        yy += weight(i) * dy * dy;
    }
    if (xx <= 0) return std::nullopt;
    Line line;
    line.slope = xy / xx;
    line.level = mean_y - line.slope * mean_x;
    line.spread = xx;
    line.squares = std::max(0.0, yy - line.slope * xy);
    return line;
}

double median(std::vector<double> values) {
    return boost::math::statistics::median(values);
}

}  // namespace gyled::estimation::statistics
