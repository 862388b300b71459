#include "sensors/calibrate/thermometer.hpp"

#include <cmath>
#include <limits>

#include "daemon/base/units.hpp"

namespace gyled::sensors {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// IEC 60751:2008.
constexpr double pt_a = 3.9083e-3;
constexpr double pt_b = -5.775e-7;
constexpr double pt_c = -4.183e-12;
constexpr double rounding =
    1e-12;  ///< relative: the ends of the range belong to it, however they are rounded

double celsius_from_inverse_kelvin(double inverse) {
    return inverse > 0 ? 1 / inverse - base::zero_celsius_in_kelvin : nan;
}

}  // namespace

double platinum_resistance_ohm(double t, double r0_ohm) {
    const double cold = t < 0 ? pt_c * (t - 100) * t * t * t : 0;
    return r0_ohm * (1 + pt_a * t + pt_b * t * t + cold);
}

double platinum_celsius(double ohm, double r0_ohm) {
    if (!(ohm >= platinum_resistance_ohm(-200, r0_ohm) * (1 - rounding) &&
          ohm <= platinum_resistance_ohm(850, r0_ohm) * (1 + rounding)))
        return nan;
    double t = (-pt_a + std::sqrt(pt_a * pt_a - 4 * pt_b * (1 - ohm / r0_ohm))) / (2 * pt_b);
    if (t >= 0) return t;
    for (int step = 0; step < 4; ++step) {
        const double slope = r0_ohm * (pt_a + 2 * pt_b * t + pt_c * t * t * (4 * t - 300));
        t -= (platinum_resistance_ohm(t, r0_ohm) - ohm) / slope;
    }
    return t;
}

double thermistor_celsius(double ohm, const SteinhartHart& s) {
    if (!(ohm > 0)) return nan;
    const double l = std::log(ohm);
    return celsius_from_inverse_kelvin(s.a + l * (s.b + s.c * l * l));
}

SteinhartHart fit_steinhart_hart(const std::array<ThermistorPoint, 3>& points) {
    std::array<double, 3> l{};
    std::array<double, 3> y{};
    for (std::size_t i = 0; i < 3; ++i) {
        l[i] = std::log(points[i].ohm);
        y[i] = 1 / base::kelvin(points[i].celsius);
    }
    // Divided differences: of 1/T the slopes, and of (ln R)^3 likewise, leave C, then B, then A.
    const double slope_1 = (y[1] - y[0]) / (l[1] - l[0]);
    const double slope_2 = (y[2] - y[0]) / (l[2] - l[0]);
    const double c = (slope_2 - slope_1) / (l[2] - l[1]) / (l[0] + l[1] + l[2]);
    const double b = slope_1 - c * (l[0] * l[0] + l[0] * l[1] + l[1] * l[1]);
    return {y[0] - l[0] * (b + c * l[0] * l[0]), b, c};
}

double beta_thermistor_celsius(double ohm, ThermistorPoint reference, double beta_kelvin) {
    if (!(ohm > 0)) return nan;
    return celsius_from_inverse_kelvin(1 / base::kelvin(reference.celsius) +
                                       std::log(ohm / reference.ohm) / beta_kelvin);
}

}  // namespace gyled::sensors
