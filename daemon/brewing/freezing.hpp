#pragma once
/// Where beer begins to freeze. Ice takes 9 % more room than the beer it was: in a full, closed vessel it
/// bursts what holds it. NaN in, NaN out.

#include "daemon/brewing/balling.hpp"

namespace gyled::brewing {

/// Percent by weight from percent by volume: the inverse of `alcohol_by_volume_from_weight`.
[[nodiscard]] constexpr double alcohol_by_weight_from_volume(double alcohol_by_volume_percent,
                                                             double beer_sg) {
    return alcohol_by_volume_percent * 0.79066 / beer_sg;
}

/// What a beer was brewed from, degrees Plato, by its alcohol and what a hydrometer shows of it now:
/// Balling's two lines (`real_extract_plato`, `alcohol_by_weight_percent`) solved for the original extract.
[[nodiscard]] constexpr double original_extract_plato(double alcohol_by_weight_percent,
                                                      double apparent_plato) {
    const double a = alcohol_by_weight_percent;
    return (2.0665 * a + real_per_apparent_drop * apparent_plato) / (real_per_apparent_drop + 0.010665 * a);
}

/// Freezing point of beer, degC: -(0.42 A + 0.04 E + 0.2), A alcohol in percent by weight, E original extract
/// in degrees Plato. From memory, of the trade's handbooks; -2.4 for 12 degrees Plato and 4 % by weight.
/// Ideal dilute solution (1.86 K kg/mol) gives the 0.42. The first ice forms at the coldest wall, not at the
/// probe.
[[nodiscard]] constexpr double freezing_point_c(double alcohol_by_weight_percent,
                                                double original_extract_plato) {
    return -(0.42 * alcohol_by_weight_percent + 0.04 * original_extract_plato + 0.2);
}
inline constexpr double freezing_point_doubt_c = 0.5;  ///< so far it may be wrong

}  // namespace gyled::brewing
