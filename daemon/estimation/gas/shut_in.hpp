#pragma once
/// What a person could do for a better answer: shut the gas, and see how fast the beer takes up what is above
/// it. Not always is it worth it: beer half way to equilibrium takes up as much whether it is quick or slow.
/// Pure function; safe on any thread.

#include <optional>

#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/gas/particles.hpp"

namespace gyled::estimation::gas {

struct ShutIn {
    double hours;       ///< for so long
    double half_width;  ///< volumes, 90 %: to so much dissolved CO2 would be known then
};

/// The shortest shut-in after which dissolved CO2 would be known well, as far as the particles foresee it;
/// nothing where none would do, or where it is known well already. `dry_kpa`: above the beer, kPa absolute.
[[nodiscard]] std::optional<ShutIn> shut_in_worth_asking(const Particles& particles, const GasStep& step,
                                                         double beer_litres, double dry_kpa);

}  // namespace gyled::estimation::gas
