#pragma once
/// The published forms in which fermentation kinetics are written.

#include <array>
#include <cstdint>

namespace gyled::virtual_vessel {

enum class Family : std::uint8_t {
    monod,              ///< uptake of two sugars and growth after a lag; a slow tail
    activated_biomass,  ///< latent, active and dead yeast, Arrhenius in each
    gompertz,           ///< a curve with a quick rise and a long fall
    logistic,           ///< the five-parameter logistic: steeper or flatter towards the end
    three_sugars,       ///< glucose, maltose and maltotriose, each waiting for the one before
    nitrogen_limited,   ///< growth ends with the nitrogen, then a steady rate to an abrupt end
};
inline constexpr std::array all_families{Family::monod,        Family::activated_biomass,
                                         Family::gompertz,     Family::logistic,
                                         Family::three_sugars, Family::nitrogen_limited};

}  // namespace gyled::virtual_vessel
