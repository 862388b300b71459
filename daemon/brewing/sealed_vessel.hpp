#pragma once
/// A vessel with its valves shut: what the pressure becomes when it warms, cools or goes on fermenting.
///
/// The head space holds CO2 and water vapour only; beer and gas are at equilibrium unless said otherwise,
/// which without agitation takes days. The volumes stay as they are. These are forecasts with a doubt of some
/// 10 %; **the relief valve protects, this does not**. NaN in, NaN out; a head space or beer volume below
/// zero gives NaN.

#include <cmath>
#include <limits>

#include "daemon/brewing/balling.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

using base::Pressure;
using base::gas_constant;
using base::kelvin;

/// What is shut in. From a measured pressure the beer factor moves a forecast by less than 1 kPa. From known
/// volumes, turned into a pressure by the same factor, it moves it by 15: then take the low factor for an
/// upper bound.
struct SealedVessel {
    double beer_litres;
    double headspace_litres;
    double beer_factor = beer_factor_typical;
};

/// The head space at one moment.
struct GasState {
    double celsius;
    Pressure pressure;
};

/// All the CO2 in the vessel at equilibrium, mol: dissolved (Weiss, fugacity, beer factor) and gas (virial
/// Z).
[[nodiscard]] double co2_mol(SealedVessel vessel, GasState at);

/// The pressure once the vessel, shut at `sealed`, has come to equilibrium at another temperature. Beer
/// of 2.5 volumes shut in at 2 degC (0.68 bar gauge) has 2.05 bar gauge at 20 degC; beer shut at 0 gauge and
/// 20 degC pulls -0.46 bar at 1 degC. Asked backwards it tells from which pressure a crash must start. Valid
/// 0 to 40 degC and to some 1 MPa. Found by Boost.Math (TOMS 748) on `co2_mol`; NaN when no pressure below 10
/// MPa holds the gas.
[[nodiscard]] Pressure pressure_after(SealedVessel vessel, GasState sealed, double celsius);

/// The same for an ideal gas, in closed form: within 1.5 % of the absolute pressure below 400 kPa. For loops.
[[nodiscard]] inline Pressure pressure_after_ideal(SealedVessel vessel, GasState sealed, double celsius) {
    if (!(vessel.beer_litres >= 0.0 && vessel.headspace_litres >= 0.0))
        return Pressure::from_kpa_absolute(std::numeric_limits<double>::quiet_NaN());
    const auto mol_per_kpa = [&vessel](double t) {
        return vessel.beer_litres * vessel.beer_factor * k0_mol_per_litre_atm(t) / 101.325 +
               vessel.headspace_litres / (gas_constant * kelvin(t));
    };
    const double before = co2_partial_kpa(sealed.celsius, sealed.pressure);
    return Pressure::from_kpa_absolute(before * mol_per_kpa(sealed.celsius) / mol_per_kpa(celsius) +
                                       vapour_pressure(celsius).kpa_absolute());
}

/// The pressure when only the gas has changed its temperature and the beer has taken up or given off nothing
/// yet: the first hours of a crash, which look harmless (-8 kPa gauge from 20 to 1 degC). Ideal gas.
[[nodiscard]] inline Pressure pressure_after_gas_only(GasState sealed, double celsius) {
    return Pressure::from_kpa_absolute(co2_partial_kpa(sealed.celsius, sealed.pressure) * kelvin(celsius) /
                                           kelvin(sealed.celsius) +
                                       vapour_pressure(celsius).kpa_absolute());
}

/// Real extract that must ferment behind a shut valve, g per litre of beer, to raise the pressure from
/// `sealed` to `to` at constant temperature and at equilibrium (ideal gas):
///     [f K0 dp + (V_G / V_L) dp / R T] 44.0095 / 0.46286
/// Divide by 10 SG for degrees Plato real, and that by 0.8192 for apparent. Negative when `to` is lower. NaN
/// without beer.
[[nodiscard]] inline double extract_to_reach_g_per_litre(SealedVessel vessel, GasState sealed, Pressure to) {
    if (!(vessel.beer_litres > 0.0 && vessel.headspace_litres >= 0.0))
        return std::numeric_limits<double>::quiet_NaN();
    const double rise_kpa = to.kpa_absolute() - sealed.pressure.kpa_absolute();
    const double mol_per_litre =
        vessel.beer_factor * k0_mol_per_litre_atm(sealed.celsius) * rise_kpa / 101.325 +
        vessel.headspace_litres / vessel.beer_litres * rise_kpa / (gas_constant * kelvin(sealed.celsius));
    return mol_per_litre * co2_molar_mass / co2_yield_of_extract;
}

/// How fast the pressure rises, kPa/h, when all CO2 made stays in the head space: dp/dt = q R T / V_G. The
/// worst case; beer that takes up its share slows it several times. Infinite without head space.
[[nodiscard]] constexpr double rise_without_uptake_kpa_per_hour(double co2_mol_per_hour,
                                                                double headspace_litres, double celsius) {
    return co2_mol_per_hour * gas_constant * kelvin(celsius) / headspace_litres;
}

/// How much the beer itself swells, percent of its volume, taken to expand like water (Tanaka, 0 to 40 degC):
/// 0.17 % from 2 to 20 degC. A head space smaller than this makes the vessel hydraulic, and liquid bursts it:
/// keep 5 %.
[[nodiscard]] constexpr double liquid_expansion_percent(double from_c, double to_c) {
    return 100.0 * (water_density(from_c) / water_density(to_c) - 1.0);
}
inline constexpr double headspace_percent_min = 5.0;

}  // namespace gyled::brewing
