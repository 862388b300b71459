#pragma once
/// What fermentation makes of extract.
///
/// Balling's balance (1865): 2.0665 g of extract become 1 g of ethanol, 0.9565 g of carbon dioxide and 0.11 g
/// of yeast. Extracts in degrees Plato, alcohol in percent by weight (ABW) or by volume at 20 degC (ABV).
/// Checked on beers of 9 to 18 degrees Plato (Cutaia, Reid and Speers, J. Inst. Brew. 115 (2009) 318); expect
/// 0.15 % ABV against real brews. NaN in, NaN out; outside the range the equations are continued, and an
/// original extract of 0 gives no attenuation (NaN). An apparent extract below 0, and an attenuation above
/// 100 %, are possible and kept.

#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/extract.hpp"

namespace gyled::brewing {

inline constexpr double balling_co2_g = 0.9565;
/// What is said of alcohol here may be off by so much, percent by volume.
inline constexpr double alcohol_doubt_percent = 0.15;

/// Real extract, degrees Plato: 0.1808 original + 0.8192 apparent (De Clerck's form of Balling).
[[nodiscard]] constexpr double real_extract_plato(Extracts beer) {
    return 0.1808 * beer.original_plato + 0.8192 * beer.apparent_plato;
}
[[nodiscard]] constexpr RealExtracts real_extracts_from(Extracts beer) {
    return {beer.original_plato, real_extract_plato(beer)};
}
/// Real extract as analysed brews have it, degrees Plato. Balling's line above reads 0.10 to 0.19 low against
/// the five groups of brews of Cutaia, Reid and Speers (J. Inst. Brew. 115 (2009) 318, Table III; 532 brews),
/// and 0.08 to 0.10 low against the additivity of densities (Tabarie). Here the real share of the apparent
/// drop is theirs: the quotient of their two fits of alcohol (Table VI), A = (0.372 + 0.00357 O) (O -
/// apparent) and A = (0.459 + 0.00469 O) (O - real). Within 0.07 of the five groups. 9 to 18 degrees Plato;
/// continued outside.
[[nodiscard]] constexpr double real_extract_of_brews_plato(Extracts beer) {
    const double real_share =
        (0.372 + 0.00357 * beer.original_plato) / (0.459 + 0.00469 * beer.original_plato);
    return beer.original_plato - real_share * (beer.original_plato - beer.apparent_plato);
}
/// The share of an apparent drop that is real. MEBAK B-590.80.530 rounds it to 0.81.
inline constexpr double real_per_apparent_drop = 0.8192;

/// g of ethanol per 100 g of beer, for each degree of real extract gone: 1 / (2.0665 - 0.010665 original).
/// Balling.
[[nodiscard]] constexpr double ethanol_per_real_extract(double original_plato) {
    return 1.0 / (2.0665 - 0.010665 * original_plato);
}

/// Alcohol by weight, percent: (original - real) / (2.0665 - 0.010665 original). Balling.
[[nodiscard]] constexpr double alcohol_by_weight_percent(RealExtracts beer) {
    return (beer.original_plato - beer.real_plato) * ethanol_per_real_extract(beer.original_plato);
}
[[nodiscard]] constexpr double alcohol_by_weight_percent(Extracts beer) {
    return alcohol_by_weight_percent(real_extracts_from(beer));
}
[[nodiscard]] constexpr double alcohol_by_weight_percent(Gravities beer) {
    return alcohol_by_weight_percent(extracts_from(beer));
}

/// Alcohol by volume, percent at 20 degC, from percent by weight: A * SG / 0.79066, ethanol weighing 789.24
/// kg/m3. Within 0.5 % (relative) of the alcoholometric table of the USP.
[[nodiscard]] constexpr double alcohol_by_volume_from_weight(double alcohol_by_weight_percent,
                                                             double beer_sg) {
    return alcohol_by_weight_percent * beer_sg / 0.79066;
}
/// Alcohol by volume, percent, through the whole chain: SG, Plato, real extract, Balling, volume.
[[nodiscard]] constexpr double alcohol_by_volume_percent(Gravities beer) {
    return alcohol_by_volume_from_weight(alcohol_by_weight_percent(beer), beer.present_sg);
}
/// Apparent attenuation (apparent degree of fermentation), percent: 100 (original - apparent) / original.
[[nodiscard]] constexpr double apparent_attenuation_percent(Extracts beer) {
    return 100.0 * (beer.original_plato - beer.apparent_plato) / beer.original_plato;
}
/// Real attenuation (real degree of fermentation), percent: 100 (original - real) / original / (1 - 0.005161
/// real). ASBC Beer-6A, recalled.
[[nodiscard]] constexpr double real_attenuation_percent(RealExtracts beer) {
    return 100.0 * (beer.original_plato - beer.real_plato) / beer.original_plato /
           (1.0 - 0.005161 * beer.real_plato);
}
[[nodiscard]] constexpr double real_attenuation_percent(Extracts beer) {
    return real_attenuation_percent(RealExtracts{beer.original_plato, real_extract_of_brews_plato(beer)});
}

/// g of CO2 set free per litre of the wort one started from, all of it, most of which leaves by the airlock.
///     0.009565 A m_beer,  m_beer = m_wort / (1 + 0.010665 A),  m_wort = 998.203 SG g/L
[[nodiscard]] constexpr double co2_evolved_g_per_litre_wort(Extracts beer) {
    const double a = alcohol_by_weight_percent(beer);
    const double wort_g = sg_from_plato(beer.original_plato) * water_density_at_20_c;
    return balling_co2_g / 100.0 * a * wort_g / (1.0 + 0.010665 * a);
}

/// A stretch of fermentation: from one apparent gravity to another, of a wort that began at `original_sg`.
struct GravityDrop {
    double original_sg;
    double from_sg;
    double to_sg;
};
/// Volumes of CO2 that a litre of beer at `from_sg` gains when it ferments to `to_sg` and nothing escapes:
/// about half a volume per point, so **one point of sensor bias is half a volume**. Negative for a rise.
/// Balling's balance.
[[nodiscard]] constexpr double co2_volumes_from_drop(GravityDrop drop) {
    const double a1 = alcohol_by_weight_percent(Gravities{drop.original_sg, drop.from_sg});
    const double a2 = alcohol_by_weight_percent(Gravities{drop.original_sg, drop.to_sg});
    const double beer_after_per_before = (100.0 + 1.0665 * a1) / (100.0 + 1.0665 * a2);
    const double ethanol_formed_percent = a2 * beer_after_per_before - a1;
    return volumes_from_co2_g_per_litre(balling_co2_g / 100.0 * ethanol_formed_percent * drop.from_sg *
                                        water_density_at_20_c);
}

}  // namespace gyled::brewing
