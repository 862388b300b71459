#pragma once
/// A refractometer in wort and in beer.
///
/// Its scale is made for sugar in water. Wort shows some 4 % more than its extract, and each percent of
/// alcohol shows as 0.4 degrees Brix: of beer it tells nothing without the original gravity. Readings in
/// degrees Brix at 20 degC or with the instrument's own correction. NaN in, NaN out.

#include "daemon/brewing/balling.hpp"

namespace gyled::brewing {

/// Degrees Brix shown per degree Plato of wort (the wort correction factor), by instrument and wort 1.02
/// to 1.06. Common practice: compare yours with a hydrometer.
inline constexpr double wort_correction_factor_typical = 1.04;
inline constexpr double wort_correction_factor_doubt = 0.02;

/// Degrees Brix that a percent by weight of ethanol shows: it raises the refractive index of water by 0.0006,
/// a percent of sucrose by 0.00148. Source: CRC Handbook, concentrative properties of aqueous solutions at 20
/// degC, from memory; up to 8 % by weight.
inline constexpr double brix_per_alcohol_percent = 0.41;

/// Extract of wort that has not begun to ferment, degrees Plato.
[[nodiscard]] constexpr double plato_of_wort(double brix,
                                             double correction_factor = wort_correction_factor_typical) {
    return brix / correction_factor;
}

/// The apparent extract of beer, degrees Plato, as a hydrometer would show it. What is seen is the real
/// extract and the alcohol, and Balling's lines bind the two:
///     brix = f R + 0.41 A,  A = (original - R) / (2.0665 - 0.010665 original)
///     apparent = (R - 0.1808 original) / 0.8192
/// From the first sugar gone to the last. Within 2.5 points of a line through 68 finished beers (Terrill
/// 2011); a reading wrong by 0.2 is 1.2 points. Allow 3 points in all: enough to see a ferment go on, never
/// to see it end.
[[nodiscard]] constexpr double apparent_plato_of_beer(
    double brix, double original_plato, double correction_factor = wort_correction_factor_typical) {
    const double alcohol_shows = brix_per_alcohol_percent * ethanol_per_real_extract(original_plato);
    const double real_plato = (brix - alcohol_shows * original_plato) / (correction_factor - alcohol_shows);
    return (real_plato - (1.0 - real_per_apparent_drop) * original_plato) / real_per_apparent_drop;
}
inline constexpr double refractometer_doubt_sg = 0.003;  ///< of beer

}  // namespace gyled::brewing
