#pragma once
/// Weighted samples: quantiles, intervals, effective size, systematic resampling. Weights are not negative
/// and need not sum to one. Pure functions; safe on any thread.

#include <cstddef>
#include <span>
#include <vector>

#include "daemon/base/estimate.hpp"

namespace gyled::estimation::statistics {

/// Half the width of a normal's 90 % interval, in sigmas. Every interval that we report is one of 90 %.
inline constexpr double sigmas_of_90_percent = 1.645;
/// Sigma of a normal whose 90 % interval is this one.
[[nodiscard]] constexpr double sigma_of(const base::Estimate& interval_90_percent) {
    return (interval_90_percent.high - interval_90_percent.low) / (2 * sigmas_of_90_percent);
}

struct Weighted {
    double value = 0;
    double weight = 0;
    friend auto operator<=>(const Weighted&, const Weighted&) = default;
};

/// The smallest value at or below which `share` (0 to 1) of the weight lies. Sorts `sample`, which is not
/// empty and holds no NaN.
[[nodiscard]] double quantile(std::vector<Weighted>& sample, double share);
/// Median and 90 % interval. Same conditions.
[[nodiscard]] base::Estimate median_and_90_percent(std::vector<Weighted>& sample);

/// Kish's effective sample size: (sum w)^2 / sum w^2, from 1 to the number of weights.
[[nodiscard]] double effective_size(std::span<const double> weights);

/// Systematic resampling (Kitagawa, J. Comput. Graph. Stat. 5 (1996) 1): as many indices as there are
/// weights, ascending, each drawn as often as its weight is worth. `offset`: one uniform number in [0, 1).
[[nodiscard]] std::vector<std::size_t> systematic_resample(std::span<const double> weights, double offset);

/// exp(x - largest x): weights from log weights, without overflow. `logs` is not empty.
[[nodiscard]] std::vector<double> weights_from_logs(std::span<const double> logs);

}  // namespace gyled::estimation::statistics
