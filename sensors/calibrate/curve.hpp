#pragma once
/// The curves a person measures against a reference: a polynomial or a table. Pure functions.

#include <optional>
#include <span>
#include <utility>

namespace gyled::sensors {

/// a0 + a1 x + a2 x^2 ... by Horner's rule. Empty coefficients give x itself.
[[nodiscard]] double polynomial(std::span<const double> coefficients, double x);

/// How far beyond its ends a table still speaks, as a part of its span: 10 %.
inline constexpr double table_reach = 0.1;

/// Piecewise linear through (raw, true) points, raw strictly ascending, at least two. Just outside, up to
/// `table_reach` of the span, the end segment is prolonged; further out nobody has measured, so nothing is
/// returned.
[[nodiscard]] std::optional<double> look_up(std::span<const std::pair<double, double>> table, double raw);

}  // namespace gyled::sensors
