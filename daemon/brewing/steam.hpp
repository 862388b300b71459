#pragma once
/// A vessel that was closed while hot: the steam above the liquor condenses as it cools, and leaves a vacuum.

#include <algorithm>

#include "daemon/base/pressure.hpp"
#include "daemon/base/units.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

/// The pressure in a head space of air and saturated steam, closed at `closed_at` and `hot_c` and cooled to
/// `cold_c` (degC): the air shrinks with its temperature, of the steam only the vapour pressure stays.
///     (p - s(hot)) T(cold) / T(hot) + s(cold)
/// Closed at 95 degC and 101.3 kPa and cooled to 20: -86 kPa gauge; while it boils, with no air left, -99.
/// Saturation pressures: `saturation_pressure`. NaN in, NaN out.
[[nodiscard]] inline Pressure pressure_after_condensing(Pressure closed_at, double hot_c, double cold_c) {
    const double air_kpa =
        std::max(closed_at.kpa_absolute() - saturation_pressure(hot_c).kpa_absolute(), 0.0);
    return Pressure::from_kpa_absolute(air_kpa * kelvin(cold_c) / kelvin(hot_c) +
                                       saturation_pressure(cold_c).kpa_absolute());
}

}  // namespace gyled::brewing
