#pragma once
/// The kinetic constants of one culture in one batch.

#include "daemon/base/stage.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::virtual_vessel {

/// Rates hold at `reference_c` and follow the temperature from there. Concentrations in g per litre of wort,
/// yeast dry. The ranges from which they are drawn are tuned so that a batch is finished within the trade's
/// usual days (common practice); the form is Monod's for uptake and growth, Baranyi's for the lag.
struct Yeast {
    double reference_c;
    double pitch;         ///< yeast at the beginning
    double readiness;     ///< physiological state when pitched: small means a long lag
    double growth_per_h;  ///< largest specific growth
    double growth_limit;  ///< yeast that the wort's nitrogen can build
    double fast_uptake;   ///< g/(g h), glucose and maltose
    double fast_half;     ///< half saturation, g/L
    double slow_uptake;   ///< g/(g h), the maltotriose-like rest
    double slow_half;
    double slow_repression;  ///< g/L of fast sugar that halves the uptake of the slow one
    double slow_share;       ///< of the fermentable extract
    double ethanol_limit;    ///< g/L at which it stops
    double activation_kj_per_mol;
    double dormant_below_c;      ///< half asleep at this temperature
    double settling_per_h;       ///< out of suspension once the sugar is gone
    double attenuation_percent;  ///< apparent, where it ends

    // The slow second organism of a mixed culture; zero elsewhere.
    double second_pitch = 0;
    double second_growth_per_h = 0;
    double second_limit = 0;
    double second_uptake = 0;  ///< g/(g h), of what the first leaves
    double second_half = 10;
    double second_attenuation_percent = 0;  ///< apparent, where it ends
};

[[nodiscard]] Yeast draw_yeast(base::Culture culture, Random& random);

/// How fast the culture works at a temperature, relative to its reference: Arrhenius, falling asleep in the
/// cold and dying of heat above some 35 degC.
[[nodiscard]] double vigour(const Yeast& yeast, double celsius);
/// The sleeping share at a temperature, 0 to 1.
[[nodiscard]] double dormancy(const Yeast& yeast, double celsius);

}  // namespace gyled::virtual_vessel
