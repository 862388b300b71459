#pragma once
/// The simple method that estimates must beat: the carbonation chart, as a brewer without a model reads it.

namespace gyled::pressure_worlds {

/// Volumes of CO2 at equilibrium, by the regression that is widely printed beside the trade's chart (psi,
/// degF; from memory):
///     V = (P + 14.695) (0.01821 + 0.090115 exp(-(T - 32) / 43.11)) - 0.003342
/// Absolute kPa, degC.
[[nodiscard]] double chart_volumes(double kpa_absolute, double celsius);
/// The same solved for the pressure, kPa absolute.
[[nodiscard]] double chart_kpa(double volumes, double celsius);

}  // namespace gyled::pressure_worlds
