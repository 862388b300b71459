#pragma once
/// What others make of the same data: the last reading, a line through two days, and the textbook's fit.

#include <optional>
#include <span>

#include "daemon/base/estimate.hpp"
#include "tests/simulation/ferments/truth/world.hpp"

namespace gyled::ferment_worlds {

/// What a method says at one moment. SG; `finish` in Unix seconds. A point is an interval of no width.
struct Forecast {
    std::optional<base::Estimate> now, final, finish;
};

/// As a dashboard without a model shows it.
[[nodiscard]] Forecast last_reading(const World& world, Timestamp at);

/// A straight line through the readings of two days, carried on until the expected end is met; the culture's
/// usual one when the brewer expects none.
[[nodiscard]] Forecast two_day_line(const World& world, Timestamp at);

/// The five-parameter logistic (Reid et al. 2021) in thermal time, fitted by Levenberg and Marquardt to its
/// mode under weak priors, with Laplace's intervals: the textbook's method, with a sensor's offset, and with
/// what is correlated in the residuals counted once.
[[nodiscard]] Forecast five_parameter_fit(const World& world, Timestamp at);

}  // namespace gyled::ferment_worlds
