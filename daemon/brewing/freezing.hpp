#pragma once
/// When beer turns to ice. Temperatures degC. NaN in, NaN out.

#include "daemon/brewing/extract.hpp"

namespace gyled::brewing {

/// What of a beer keeps it liquid below 0 degC.
struct FreezingBeer {
    double alcohol_by_weight_percent;
    double original_plato;
};

/// The temperature at which the first ice appears: -(0.42 alcohol + 0.04 original extract + 0.2). Source: the
/// trade's rule, from memory; ideal dilute solution (1.86 K kg/mol) gives the 0.42. Take it as +-0.5 degC.
/// For wort, with 0 % of alcohol, it is on the warm, and so the safe side.
[[nodiscard]] constexpr double freezing_point_c(FreezingBeer beer) {
    return -(0.42 * beer.alcohol_by_weight_percent + 0.04 * beer.original_plato + 0.2);
}
inline constexpr double freezing_point_doubt_c = 0.5;

}  // namespace gyled::brewing
