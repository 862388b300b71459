#pragma once
/// From the particles to what is told: dissolved CO2 now, its equilibrium, when the target is reached, and
/// the pressure that would come if the vessel were shut now and chilled (warmed, with the sugar left:
/// closing.hpp). Pure function; safe on any thread.

#include "daemon/base/estimate.hpp"
#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/gas/particles.hpp"

namespace gyled::estimation::gas {

/// co2_volumes, co2_equilibrium_volumes (under the CO2 above the beer, not under the air in it),
/// head_space_air, head_space_oxygen, crash_pressure (kPa gauge against the step's ambient)
/// and, where there is a target that will be reached and the vessel is not vented, carbonated_time.
/// `dry_kpa`: the gas above the beer without vapour, kPa absolute. A forecast of pressure is good to some
/// 10 %: **the relief valve protects, this does not**.
[[nodiscard]] base::Estimates forecast(const Particles& particles, const GasContext& context,
                                       const GasStep& step, double dry_kpa);

/// head_pressure (kPa gauge against `ambient`) and co2_volumes as the particles hold them, whether anybody
/// can see it or not: what a foresight goes by, where there is no gauge to read.
[[nodiscard]] base::Estimates gas_held(const Particles& particles, double beer_c, base::Pressure ambient);

}  // namespace gyled::estimation::gas
