#pragma once
/// How much CO2 water and beer hold at a temperature and a pressure.
///
/// `volumes_in_beer` is the one to use: water's solubility times a factor for beer. The chart, its regression
/// and the trade forms are what people compare with. All take and give absolute `Pressure`, so altitude needs
/// no correction and a gauge value cannot slip in. Temperatures in degC. Above pH 5 CO2 also hides as
/// bicarbonate, which is ignored: beer has pH 4 to 4.6. NaN in, NaN out.

#include <cmath>

#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

using base::Pressure;
using base::standard_atmosphere;
using base::bar_from_kpa;
using base::kelvin;

/// Solubility of CO2 in fresh water, mol per litre and atm of fugacity, -1 to 40 degC; continued outside.
///     ln K0 = -58.0931 + 90.5069 (100 / T) + 22.2940 ln(T / 100)
/// Source: Weiss, Marine Chemistry 2 (1974) 203. Measurements within 0.7 %.
[[nodiscard]] inline double k0_mol_per_litre_atm(double celsius) {
    const double t = kelvin(celsius) / 100.0;
    return std::exp(-58.0931 + 90.5069 / t + 22.2940 * std::log(t));
}
/// The same per kilogram of water: -60.2409, 93.4517, 23.3585.
[[nodiscard]] inline double k0_mol_per_kg_atm(double celsius) {
    const double t = kelvin(celsius) / 100.0;
    return std::exp(-60.2409 + 93.4517 / t + 23.3585 * std::log(t));
}
/// g per litre and bar in water, by Weiss: 3.37 at 0 degC, 2.68 at 6 degC.
[[nodiscard]] inline double henry_g_per_litre_bar(double celsius) {
    return k0_mol_per_litre_atm(celsius) * co2_molar_mass / 1.01325;
}
/// Bunsen coefficient: litres of gas (0 degC, 1 atm) that a litre of water takes up at 1 atm of CO2. Weiss.
[[nodiscard]] inline double bunsen_coefficient(double celsius) {
    return k0_mol_per_litre_atm(celsius) * fugacity_coefficient(celsius, standard_atmosphere) *
           normal_molar_volume;
}

/// Henry's constant of CO2 in water, MPa per mole fraction: a second opinion, good to 160 degC and 1 MPa.
///     ln H = -6.8346 + 1.2817e4 / T - 3.7668e6 / T^2 + 2.997e8 / T^3
/// Source: Carroll, Slupsky and Mather, J. Phys. Chem. Ref. Data 20 (1991) 1201. Against Weiss: +2.4 % at 0
/// degC, -2.1 % at 30 degC.
[[nodiscard]] inline double henry_carroll_mpa(double celsius) {
    const double per_t = 1.0 / kelvin(celsius);
    return std::exp(-6.8346 + per_t * (1.2817e4 + per_t * (-3.7668e6 + per_t * 2.997e8)));
}
/// Mole fraction dissolved under a partial pressure of CO2, by Carroll's constant and the fugacity.
[[nodiscard]] inline double mole_fraction_carroll(double celsius, Pressure co2) {
    return fugacity_coefficient(celsius, co2) * co2.kpa_absolute() / 1000.0 / henry_carroll_mpa(celsius);
}

/// The CO2 in a head space that holds CO2 and water vapour only, kPa. Never below zero: a vacuum deeper than
/// the vapour pressure holds no CO2.
[[nodiscard]] inline double co2_partial_kpa(double celsius, Pressure total) {
    const double kpa = total.kpa_absolute() - vapour_pressure(celsius).kpa_absolute();
    return kpa < 0.0 ? 0.0 : kpa;
}

/// Volumes in pure water at equilibrium: 22.264 K0 phi (p - pH2O) / 101.325.
[[nodiscard]] inline double volumes_in_water(double celsius, Pressure total) {
    return normal_molar_volume * k0_mol_per_litre_atm(celsius) * fugacity_coefficient(celsius, total) *
           co2_partial_kpa(celsius, total) / 101.325;
}
/// The same without fugacity, 0.5 to 1.6 % too high: for sums that must stay linear in pressure.
[[nodiscard]] inline double volumes_in_water_ideal(double celsius, Pressure total) {
    return normal_molar_volume * k0_mol_per_litre_atm(celsius) * co2_partial_kpa(celsius, total) / 101.325;
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

/// An exponential fit to the same chart, monotone, the better one outside it: 0.93 to 0.98 of water over 0
/// to 15.5 degC.
///     V = (P + 14.695)(0.01821 + 0.090115 exp(-(T - 32) / 43.11)) - 0.003342,  P psi gauge at sea level, T
///     degF
/// Source: deLange 2011, recalled; rms 0.019 vol on the chart.
[[nodiscard]] double exponential_volumes(double celsius, Pressure total);
/// The same solved for pressure.
[[nodiscard]] Pressure exponential_pressure(double celsius, double volumes);

/// The trade's van 't Hoff form in g/L, p in bar: 10 p exp(-10.73797 + 2617.25 / T), with p = gauge + 1.013.
/// About 1.2 % above the chart; printed for -1 to 30 degC and 0 to 3 bar gauge.
[[nodiscard]] inline double vant_hoff_g_per_litre_bar(double celsius) {
    return 10.0 * std::exp(-10.73797 + 2617.25 / kelvin(celsius));
}
[[nodiscard]] inline double vant_hoff_g_per_litre(double celsius, Pressure total) {
    return (bar_from_kpa(total.kpa_gauge(standard_atmosphere)) + 1.013) * vant_hoff_g_per_litre_bar(celsius);
}

}  // namespace gyled::brewing
