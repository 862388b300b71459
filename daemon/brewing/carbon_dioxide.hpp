#pragma once
/// Carbon dioxide as a gas, and the "volume" in which the trade counts it.
///
/// One volume is one litre of CO2 gas (at 0 degC and 101.325 kPa) per litre of beer. We count the real gas: 1
/// vol is 1.977 g/L. The ideal-gas convention prints 1.96; the two differ by 0.7 %, below every other doubt.
/// Temperatures in degC; NaN in, NaN out.

#include <cmath>

#include "daemon/base/pressure.hpp"
#include "daemon/base/units.hpp"

namespace gyled::brewing {

using base::gas_constant;
using base::kelvin;
using base::Pressure;
using base::standard_atmosphere;
using base::zero_celsius_in_kelvin;

/// g/mol.
inline constexpr double co2_molar_mass = 44.0095;

/// Second virial coefficient B of CO2, cm3/mol, T in kelvin.
///     B = -1636.75 + 12.0408 T - 3.27957e-2 T^2 + 3.16528e-5 T^3
/// Source: Weiss, Marine Chemistry 2 (1974) 203, Eq. 6, for 265 to 320 K (-8 to 47 degC); beyond that a cubic
/// running away from the truth.
[[nodiscard]] constexpr double second_virial_cm3_per_mol(double celsius) {
    const double t = kelvin(celsius);
    return -1636.75 + t * (12.0408 + t * (-3.27957e-2 + t * 3.16528e-5));
}

/// B p / R T, without a unit: how far the gas is from ideal.
[[nodiscard]] constexpr double virial_term(double celsius, Pressure p) {
    return second_virial_cm3_per_mol(celsius) * 1e-3 * p.kpa_absolute() / (gas_constant * kelvin(celsius));
}

/// Compressibility Z = 1 + B p / R T. Range of B, and up to some 1 MPa. 0.984 at 20 degC and 300 kPa.
[[nodiscard]] constexpr double compressibility(double celsius, Pressure p) {
    return 1.0 + virial_term(celsius, p);
}

/// Fugacity coefficient exp(B p / R T): the share of its pressure with which the gas pushes into the beer.
/// Same range.
[[nodiscard]] inline double fugacity_coefficient(double celsius, Pressure p) {
    return std::exp(virial_term(celsius, p));
}

/// Litres per mol of the real gas: Z R T / p. Infinite at p = 0.
[[nodiscard]] constexpr double molar_volume_litres(double celsius, Pressure p) {
    return compressibility(celsius, p) * gas_constant * kelvin(celsius) / p.kpa_absolute();
}

/// Litres per mol at 0 degC and 101.325 kPa: 22.264 for the real gas, 22.414 for an ideal one.
inline constexpr double normal_molar_volume = molar_volume_litres(0.0, standard_atmosphere);

/// Volumes to g/L and back: 1 vol is 1.977 g/L.
[[nodiscard]] constexpr double co2_g_per_litre_from_volumes(double volumes) {
    return volumes * co2_molar_mass / normal_molar_volume;
}
[[nodiscard]] constexpr double volumes_from_co2_g_per_litre(double g_per_litre) {
    return g_per_litre * normal_molar_volume / co2_molar_mass;
}
}  // namespace gyled::brewing
