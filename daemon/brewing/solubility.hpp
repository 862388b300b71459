#pragma once
/// How much CO2 water and beer hold at a temperature and a pressure.
///
/// `volumes_in_beer` is the one to use: water's solubility times a factor for beer. The chart, by
/// its regression, is what people compare with. All take and give absolute `Pressure`, so altitude needs
/// no correction and a gauge value cannot slip in. Temperatures in degC. Above pH 5 CO2 also hides as
/// bicarbonate, which is ignored: beer has pH 4 to 4.6. NaN in, NaN out.

#include <cmath>

#include "daemon/base/pressure.hpp"
#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

using base::bar_from_kpa;
using base::kelvin;
using base::Pressure;
using base::standard_atmosphere;

/// Solubility of CO2 in fresh water, mol per litre and atm of fugacity, -1 to 40 degC; continued outside.
///     ln K0 = -58.0931 + 90.5069 (100 / T) + 22.2940 ln(T / 100)
/// Source: Weiss, Marine Chemistry 2 (1974) 203. Measurements within 0.7 %.
[[nodiscard]] inline double k0_mol_per_litre_atm(double celsius) {
    const double t = kelvin(celsius) / 100.0;
    return std::exp(-58.0931 + 90.5069 / t + 22.2940 * std::log(t));
}
/// The CO2 in a head space that holds CO2 and water vapour only, kPa. Never below zero: a vacuum deeper than
/// the vapour pressure holds no CO2.
[[nodiscard]] inline double co2_partial_kpa(double celsius, Pressure total) {
    const double kpa = total.kpa_absolute() - vapour_pressure(celsius).kpa_absolute();
    return kpa < 0.0 ? 0.0 : kpa;
}

/// Volumes that pure water holds per kPa of CO2 above it: 22.264 K0 phi / 101.325. `gas`: the pressure that
/// makes the CO2 real, of which only the fugacity (some 0.5 % per 100 kPa) depends.
[[nodiscard]] inline double volumes_in_water_per_kpa(double celsius, Pressure gas) {
    return normal_molar_volume * k0_mol_per_litre_atm(celsius) * fugacity_coefficient(celsius, gas) / 101.325;
}
/// Volumes in pure water at equilibrium: 22.264 K0 phi (p - pH2O) / 101.325.
[[nodiscard]] inline double volumes_in_water(double celsius, Pressure total) {
    return volumes_in_water_per_kpa(celsius, total) * co2_partial_kpa(celsius, total);
}
/// Beer holds this share of what water holds. 0.95 is the mean of the printed chart (0.935 to 0.97); a lager
/// of 5 % ABV was measured near 0.90 (Liger-Belair and Cilindre, ACS Omega 6 (2021) 9672). No composition
/// equation could be sourced, so the doubt is +-0.05. For an upper bound of pressure take the low one, of
/// carbonation the high one.
inline constexpr double beer_factor_typical = 0.95;
inline constexpr double beer_factor_low = 0.90;
inline constexpr double beer_factor_high = 1.00;

/// Volumes in beer at equilibrium. 0 to 30 degC, to some 500 kPa. Against the printed chart within 0.1 below
/// 10 degC.
[[nodiscard]] inline double volumes_in_beer(double celsius, Pressure total,
                                            double beer_factor = beer_factor_typical) {
    return beer_factor * volumes_in_water(celsius, total);
}
/// The pressure that holds `volumes` in beer at equilibrium: the inverse of `volumes_in_beer`, in closed form
/// (Lambert's W). NaN for negative volumes, and for more than any pressure could hold (some 80).
[[nodiscard]] Pressure pressure_for_volumes(double celsius, double volumes,
                                            double beer_factor = beer_factor_typical);

/// Volumes left in beer that fermented under `held` pressure, where `warmest_c` is the highest temperature
/// since gas last left it: cooling later adds nothing unless gas is supplied or the vessel was shut. +-0.1;
/// fresh beer can hold more until it has been knocked. A table in the trade (Draper and Hibberd 1996) is 0.05
/// to 0.1 higher.
[[nodiscard]] inline double residual_volumes(double warmest_c, Pressure held = standard_atmosphere,
                                             double beer_factor = beer_factor_typical) {
    return volumes_in_beer(warmest_c, held, beer_factor);
}

/// The trade's carbonation chart as a regression, P in psi over sea level's atmosphere, T in degF:
///     P = -16.6999 - 0.0101059 T + 0.00116512 T^2 + 0.173354 T V + 4.24267 V - 0.0684226 V^2
/// Source: printed beneath the chart it fits (292 points, rms 0.009 vol). Use 0 to 15.5 degC and 1.7 to 3.3
/// vol. Not near 0 psi and not warmer: there it crosses pure water. Continued outside all the same.
[[nodiscard]] Pressure chart_pressure(double celsius, double volumes);
/// The regression solved for volumes (the smaller root). NaN beyond the pressure at which it turns back.
[[nodiscard]] double chart_volumes(double celsius, Pressure total);

}  // namespace gyled::brewing
