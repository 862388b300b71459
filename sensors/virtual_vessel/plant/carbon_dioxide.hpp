#pragma once
/// Carbon dioxide as a gas and in water. Temperatures in degC, pressures in kPa.
///
/// The vessel's own, from other sources and in other forms than the daemon's.

namespace gyled::virtual_vessel {

inline constexpr double co2_g_per_mol = 44.0095;  ///< IUPAC's atomic weights
/// One "volume" is a litre of the gas at 0 degC and 1 atm in a litre of beer: 1.977 g (handbook density of
/// the gas). Litres of that gas per mol: a definition, not a law.
inline constexpr double volume_l_per_mol = co2_g_per_mol / 1.977;

/// Henry's constant of CO2 in water, kPa of fugacity per mole fraction, 0.01 to 369 degC.
///     ln(kH / p) = A / Tr + B (1 - Tr)^0.355 / Tr + C Tr^-0.41 exp(1 - Tr),  Tr = T / 647.096 K
/// with p the vapour pressure of water, A = -8.55445, B = 4.01195, C = 9.52345.
/// Source: IAPWS G7-04 (Fernandez-Prini, Alvarez and Harvey, J. Phys. Chem. Ref. Data 32 (2003) 903).
/// Near freezing it lies 4 % above what Weiss's table and 2 % above what the CRC Handbook's ask for; from 20
/// degC on within 1 to 2 %. How solubility changes with temperature is known no better than that.
[[nodiscard]] double henry_kpa(double celsius);
/// mol of CO2 that a litre of water holds for each kPa of fugacity: `henry_kpa` and the density of water.
[[nodiscard]] double solubility_mol_per_l_kpa(double celsius);

/// Diffusivity in water, m2/s: 2.35e-6 exp(-2119 / T). Versteeg and van Swaaij, J. Chem. Eng. Data 33 (1988)
/// 29; from memory.
[[nodiscard]] double diffusivity_m2_per_s(double celsius);

/// The pressure of CO2 of that density, by Redlich and Kwong (Chem. Rev. 44 (1949) 233) with the critical
/// point of 304.13 K and 7377.3 kPa.
///     p = R T d / (1 - b d) - a d^2 / (sqrt(T) (1 + b d))
[[nodiscard]] double co2_pressure_kpa(double mol_per_l, double celsius);
/// The same solved for density, by bisection. Below the vapour-liquid line: to some 3 MPa.
[[nodiscard]] double co2_mol_per_l(double kpa, double celsius);
/// Fugacity, kPa, of CO2 of that density, from the same equation of state.
[[nodiscard]] double co2_fugacity_kpa(double mol_per_l, double celsius);

}  // namespace gyled::virtual_vessel
