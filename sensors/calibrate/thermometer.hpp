#pragma once
/// Resistance thermometers: ohms to degrees Celsius. Pure functions; NaN where no temperature can be given.

#include <array>

namespace gyled::sensors {

/// Resistance of a platinum thermometer of R0 ohm at 0 degC, after IEC 60751:
///     R = R0 (1 + A t + B t^2), below 0 degC + R0 C (t - 100) t^3
///     A = 3.9083e-3, B = -5.775e-7, C = -4.183e-12; valid from -200 to 850 degC.
[[nodiscard]] double platinum_resistance_ohm(double celsius, double r0_ohm = 100);

/// The inverse. From 0 degC up by the quadratic formula, below by Newton's method on the quartic; good to
/// 1e-9 degC. NaN for a resistance outside -200 to 850 degC: no thermometer, but a broken wire or a short.
[[nodiscard]] double platinum_celsius(double ohm, double r0_ohm = 100);

/// The thermistor equation 1/T = A + B ln R + C (ln R)^3, T in kelvin, R in ohm.
/// Source: Steinhart and Hart, Deep-Sea Research 15 (1968) 497.
struct SteinhartHart {
    double a, b, c;
};

/// NaN for a resistance that is not above zero or a temperature that is not above absolute zero.
[[nodiscard]] double thermistor_celsius(double ohm, const SteinhartHart& thermistor);

/// One row of a thermistor's table.
struct ThermistorPoint {
    double ohm, celsius;
};

/// The coefficients that pass through three points, best the two ends and the middle of the range in use. The
/// three resistances must differ and be above zero; otherwise the coefficients are not finite.
[[nodiscard]] SteinhartHart fit_steinhart_hart(const std::array<ThermistorPoint, 3>& points);

/// The poorer two-constant form, 1/T = 1/T_ref + ln(R / R_ref) / beta: up to about 1 degC off between 0 and
/// 70 degC.
[[nodiscard]] double beta_thermistor_celsius(double ohm, ThermistorPoint reference, double beta_kelvin);

}  // namespace gyled::sensors
