#pragma once
/// Least-squares line, and the robust measures of scatter about it. Pure functions; safe on any thread.

#include <optional>
#include <span>
#include <vector>

namespace gyled::estimation::statistics {

struct Line {
    double slope = 0;
    double level = 0;    ///< at x = 0
    double spread = 0;   ///< sum of w (x - mean x)^2: sigma of the slope is sigma of one value / sqrt(spread)
    double squares = 0;  ///< sum of w (y - line)^2
    [[nodiscard]] double at(double x) const { return level + slope * x; }
};

/// Through (x, y), ordinary or, with `weights`, weighted least squares. Nothing with fewer than three points
/// of weight, or when all x are the same.
[[nodiscard]] std::optional<Line> fit_line(std::span<const double> x, std::span<const double> y,
                                           std::span<const double> weights = {});

/// Median of values that are not NaN (Boost.Math); `values` is not empty and is taken by value to be sorted.
[[nodiscard]] double median(std::vector<double> values);

/// Sigma of a normal, per median absolute deviation: 1 / 0.6745.
inline constexpr double sigma_per_median_deviation = 1.4826;

}  // namespace gyled::estimation::statistics
