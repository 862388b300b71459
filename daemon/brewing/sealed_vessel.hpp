#pragma once
/// A vessel with its valves shut: what the pressure becomes when it warms, cools or goes on fermenting.
///
/// The head space holds CO2 and water vapour only; beer and gas are at equilibrium unless said otherwise,
/// which without agitation takes days. The volumes stay as they are. These are forecasts with a doubt of some
/// 10 %; **the relief valve protects, this does not**. NaN in, NaN out; a head space or beer volume below
/// zero gives NaN.

#include <cmath>
#include <limits>

#include "daemon/base/pressure.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

using base::gas_constant;
using base::kelvin;
using base::Pressure;

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

/// kPa of head pressure that one volume of CO2 out of each litre of beer makes, at this temperature and about
/// this pressure (virial Z). Infinite without head space.
[[nodiscard]] inline double kpa_per_volume(SealedVessel vessel, GasState at) {
    return compressibility(at.celsius, at.pressure) * gas_constant * kelvin(at.celsius) * vessel.beer_litres /
           (normal_molar_volume * vessel.headspace_litres);
}
/// The partial pressure of CO2, kPa, once `volumes` per litre of beer, dissolved and above it together, have
/// come to equilibrium. The inverse of `co2_mol` by fixed point, within 0.1 % from 0 to 40 degC and 0 to 6
/// volumes: a particle filter asks it a thousand times a quarter of an hour.
[[nodiscard]] double settled_co2_kpa(SealedVessel vessel, double volumes, double celsius);

/// The pressure when only the gas has changed its temperature and the beer has taken up or given off nothing
/// yet: the first hours of a crash, which look harmless (-8 kPa gauge from 20 to 1 degC). Ideal gas.
[[nodiscard]] inline Pressure pressure_after_gas_only(GasState sealed, double celsius) {
    return Pressure::from_kpa_absolute(co2_partial_kpa(sealed.celsius, sealed.pressure) * kelvin(celsius) /
                                           kelvin(sealed.celsius) +
                                       vapour_pressure(celsius).kpa_absolute());
}

/// How much the beer itself swells, percent of its volume, taken to expand like water (Tanaka, 0 to 40 degC):
/// 0.17 % from 2 to 20 degC. A head space smaller than this makes the vessel hydraulic, and liquid bursts it:
/// keep 5 %.
[[nodiscard]] constexpr double liquid_expansion_percent(double from_c, double to_c) {
    return 100.0 * (water_density(from_c) / water_density(to_c) - 1.0);
}
inline constexpr double headspace_percent_min = 5.0;
/// So far such a forecast may be wrong, as a share of the absolute pressure.
inline constexpr double sealed_vessel_doubt = 0.10;

}  // namespace gyled::brewing
