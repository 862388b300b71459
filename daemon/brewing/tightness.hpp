#pragma once
/// Does a closed vessel hold its gas? What a fall of the pressure says once the temperature is taken out of
/// it. Ideal gas: the 1 to 2 % that CO2 is off at 3 bar change a leak by as little. NaN in, NaN out.

#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

/// Gas in each litre of a damp space, mol, its vapour left out: (p - p_sat) / (R T). It stays when the vessel
/// only warms or cools.
[[nodiscard]] inline double dry_gas_mol_per_litre(double celsius, Pressure total) {
    return (total.kpa_absolute() - saturation_pressure(celsius).kpa_absolute()) /
           (gas_constant * kelvin(celsius));
}
/// The pressure that so much gas in each litre makes, kPa.
[[nodiscard]] constexpr double kpa_of_gas(double mol_per_litre, double celsius) {
    return mol_per_litre * gas_constant * kelvin(celsius);
}
/// Grams of CO2 a day, for so many mol per litre and hour out of so many litres of gas.
[[nodiscard]] constexpr double co2_g_per_day(double mol_per_litre_hour, double gas_litres) {
    constexpr double hours_per_day = 24;
    return mol_per_litre_hour * gas_litres * co2_molar_mass * hours_per_day;
}

}  // namespace gyled::brewing
