#pragma once
/// A closed vessel that was hot: what is left above the liquor when the steam in it condenses.
///
/// Steam becomes water within minutes, in a spray of cold water within seconds, faster than any valve lets
/// gas follow: shut at 95 degC and cooled to 20 a vessel ends at -86 kPa gauge with air above the wort, at
/// -99 with steam alone. **Thin jacketed walls fold at a fraction of that.** NaN in, NaN out.

#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

/// The pressure in a vessel that was shut at `shut` and has come to another temperature, its gas ideal and
/// none of it dissolved, its vapour saturated (IAPWS, `saturation_pressure`):
///     (p - p_sat(t1)) T2 / T1 + p_sat(t2)
/// What steam alone leaves is p_sat(t2): no vessel ends lower. 0 to 130 degC.
[[nodiscard]] inline Pressure pressure_after_condensing(GasState shut, double celsius) {
    const double dry_kpa = shut.pressure.kpa_absolute() - saturation_pressure(shut.celsius).kpa_absolute();
    return Pressure::from_kpa_absolute((dry_kpa < 0 ? 0 : dry_kpa) * kelvin(celsius) / kelvin(shut.celsius) +
                                       saturation_pressure(celsius).kpa_absolute());
}

}  // namespace gyled::brewing
