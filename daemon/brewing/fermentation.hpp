#pragma once
/// How temperature drives a fermentation, and what counts as its end. NaN in, NaN out. What curves it follows
/// is estimation/gravity's.

#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::brewing {

using base::gas_constant;
using base::kelvin;

/// How many times faster at `to_c` than at `from_c`, by an activation energy in kJ/mol (Arrhenius):
/// exp[Ea / R (1 / T1 - 1 / T2)]. 55 kJ/mol is a Q10 of 2.2 near 15 degC (2 to 3 is common practice). Holds
/// only where the yeast is well: a few degrees beyond a culture's range it stops instead.
[[nodiscard]] inline double rate_factor_arrhenius(double activation_kj_per_mol, double from_c, double to_c) {
    return std::exp(activation_kj_per_mol * 1000.0 / gas_constant *
                    (1.0 / kelvin(from_c) - 1.0 / kelvin(to_c)));
}

/// Terminal gravity: a slope flatter than this many SG per day. The bound at the doubt of its slope is
/// estimation's. A design choice; 48 hours of hourly readings with 0.0005 noise resolve it. Finished must
/// stay revocable: mixed cultures and dry hops restart after weeks.
inline constexpr double stable_slope_sg_per_day = 0.0005;

}  // namespace gyled::brewing
