#pragma once
/// The air around the vessel, when no barometer tells.

#include <cmath>

#include "daemon/base/pressure.hpp"

namespace gyled::brewing {

using base::Pressure;
using base::standard_atmosphere;

/// Atmospheric pressure at an elevation in metres above the sea.
///     p = 101.325 (1 - 0.0065 h / 288.15)^5.255876 kPa
/// Source: the standard atmosphere, ICAO Doc 7488 / ISO 2533, troposphere, 0 to 11 000 m. Weather moves the
/// true value by some +-3 kPa. Below the sea the formula is extrapolated; above 44 300 m the answer is NaN.
[[nodiscard]] inline Pressure atmosphere_at(double elevation_m) {
    return Pressure::from_kpa_absolute(101.325 * std::pow(1.0 - 0.0065 * elevation_m / 288.15, 5.255876));
}

/// What a gauge in thinner air must show more than a sea-level chart says, for beer to hold the same gas:
/// dissolved CO2 follows the absolute pressure. In kPa; negative below sea level.
[[nodiscard]] constexpr double gauge_shift_kpa(Pressure ambient) {
    return standard_atmosphere.kpa_absolute() - ambient.kpa_absolute();
}

}  // namespace gyled::brewing
