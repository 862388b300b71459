#pragma once
/// Where a shut vessel ends: the outlook for somebody who hesitates at the spunding valve. The gas that is in
/// the beer and above it stays, and what the sugar left will set free joins it; beer and head space then
/// share the sum at equilibrium (Weiss's solubility with a beer factor, virial Z, Balling's yield).
///
/// One gravity point is half a volume of CO2: 48 kPa at 18 degC in a vessel of 26 L with 21.5 L of beer. Such
/// a forecast is good to some 10 %: **the relief valve protects, this does not**.
///
/// A pure function of weighted samples, safe on any thread; some half a millisecond for 500 of them.
/// Pressures kPa gauge against the ambient told, gravities SG 20/20 apparent, CO2 in volumes per litre of
/// beer.

#include <optional>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/estimation/gas/particles.hpp"
#include "daemon/estimation/gas/rise.hpp"

namespace gyled::estimation::gas {

/// One way in which the vessel's gas may stand.
struct GasContents {
    brewing::SealedVessel vessel;  ///< its beer factor as it is at the present temperature
    double factor_slope = 0;       ///< relative change of that factor with each degree warmer
    double in_beer = 0;            ///< volumes dissolved
    double co2_kpa = 0;            ///< above the beer, partial, absolute
    double air_kpa = 0;            ///< likewise
    double weight = 0;
};

/// The particles' belief of beer at this temperature, degC.
[[nodiscard]] std::vector<GasContents> contents_of(const Particles& particles, double beer_litres,
                                                   double beer_c);

/// What both samples are judged by.
struct ClosingConditions {
    double beer_c = 20;     ///< degC, as it is
    double warmest_c = 25;  ///< degC, the worst case
    base::Pressure ambient = base::standard_atmosphere;
    std::optional<double> bearable_kpa;  ///< what the vessel may be meant to reach (brewing/relief.hpp)
    std::optional<Rise> rise;            ///< of a vessel that is shut: what it says of the sugar
};

/// closed_pressure: where it ends at the present temperature, shut from now on; warm_pressure: at the warmest
/// one, or the present one where that is warmer. With sugar told and a bearable pressure, also
/// closing_gravity: shut from this gravity on, under the pressure as it is, the upper end of the warm case
/// stays within what is bearable. Its value is the safe end: `low`; half the doubt lies above it, up to
/// `high`. Below the final gravity: at this pressure never.
///
/// `sugar` may be empty: beer that came in finished. Nothing from an empty `gas`. The two samples are taken
/// to be independent.
[[nodiscard]] base::Estimates closing_outlook(const std::vector<GasContents>& gas,
                                              const std::vector<SugarLeft>& sugar,
                                              const ClosingConditions& conditions);

}  // namespace gyled::estimation::gas
