#pragma once
/// Water: density, vapour and boiling. Temperatures in degC, densities in kg/m3; NaN in, NaN out.

#include <cmath>

#include "daemon/base/pressure.hpp"
#include "daemon/base/units.hpp"

namespace gyled::brewing {

using base::kelvin;
using base::Pressure;

/// Density of air-free water at 101.325 kPa, 0 to 40 degC (ITS-90), to 0.001 kg/m3.
///     999.974950 [1 - (t - 3.983035)^2 (t + 301.797) / (522528.9 (t + 69.34881))]
/// Source: Tanaka et al., Metrologia 38 (2001) 301. Continued outside; above 40 degC use Kell's.
[[nodiscard]] constexpr double water_density(double celsius) {
    const double off = celsius - 3.983035;
    return 999.974950 * (1.0 - off * off * (celsius + 301.797) / (522528.9 * (celsius + 69.34881)));
}

/// Density of air-free water at 101.325 kPa, 0 to 150 degC, to 0.005 kg/m3. Source: Kell, J. Chem. Eng. Data
/// 20 (1975)
/// 97. The denominator has 16.879850e-3: a reprint with two digits swapped is 0.3 kg/m3 off. Continued
/// outside.
[[nodiscard]] constexpr double water_density_kell(double celsius) {
    const double t = celsius;
    return (999.83952 +
            t * (16.945176 +
                 t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12))))) /
           (1.0 + 16.879850e-3 * t);
}

/// What so many litres of water, or of wort, fill at another temperature: 4 % less when a boil has cooled. By
/// Kell's densities, 0 to 150 degC.
[[nodiscard]] constexpr double litres_at(double litres, double from_c, double to_c) {
    return litres * water_density_kell(from_c) / water_density_kell(to_c);
}

/// Vapour pressure over water from 0 to 374 degC: Wagner and Pruss, the saturation equation of the steam
/// tables (IAPWS), recalled and checked on the tables. Supercooled water down to -20 degC is continued well;
/// above the critical point (373.946 degC) the answer is NaN.
[[nodiscard]] inline Pressure saturation_pressure(double celsius) {
    const double t = kelvin(celsius);
    const double x = 1.0 - t / 647.096;
    const double root = std::sqrt(x);
    const double x3 = x * x * x;
    const double sum = -7.85951783 * x + 1.84408259 * x * root - 11.7866497 * x3 + 22.6807411 * x3 * root -
                       15.9618719 * x3 * x + 1.80122502 * x3 * x3 * x * root;
    return Pressure::from_kpa_absolute(22064.0 * std::exp(647.096 / t * sum));
}

/// Vapour pressure over fresh water, cheap, for the gas sums around 0 to 40 degC.
///     101.325 exp(24.4543 - 67.4509 (100 / T) - 4.8489 ln(T / 100)) kPa
/// Source: Weiss and Price, Marine Chemistry 8 (1980) 347, recalled; within 0.01 kPa of the steam tables to
/// 30 degC. NaN below absolute zero.
[[nodiscard]] inline Pressure vapour_pressure(double celsius) {
    const double t = kelvin(celsius) / 100.0;
    return Pressure::from_kpa_absolute(101.325 * std::exp(24.4543 - 67.4509 / t - 4.8489 * std::log(t)));
}

/// The temperature at which water boils under `ambient`, degC: `saturation_pressure` inverted. Wort boils up
/// to half a degree hotter. Pressures from 0.7 kPa to 20 MPa; NaN outside and for NaN.
[[nodiscard]] double boiling_point_c(Pressure ambient);

}  // namespace gyled::brewing
