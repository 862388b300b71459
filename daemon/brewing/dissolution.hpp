#pragma once
/// How gas enters and leaves beer in time: dC/dt = kLa (C* - C), towards the equilibrium C*.
///
/// Hours, kLa per hour, C in volumes or any unit of concentration. kLa belongs to a vessel and its way of
/// gassing: begin with the priors below and learn it. NaN in, NaN out; a negative kLa is nonsense and runs
/// away.

#include <array>
#include <cmath>
#include <string_view>

namespace gyled::brewing {

/// C after `hours`: C* + (C0 - C*) exp(-kLa t).
[[nodiscard]] inline double concentration_after(double start, double equilibrium, double kla_per_hour,
                                                double hours) {
    return equilibrium + (start - equilibrium) * std::exp(-kla_per_hour * hours);
}
/// Hours until `fraction` (0 to below 1) of the way to equilibrium is done: -ln(1 - fraction) / kLa; 95 %
/// takes 3 / kLa. Infinite for a fraction of 1, NaN above.
[[nodiscard]] inline double hours_to_fraction(double fraction, double kla_per_hour) {
    return -std::log1p(-fraction) / kla_per_hour;
}
/// Of gas that is set free in beer from one moment on, in a shut vessel: the share of its rate by which the
/// head space gains `hours` later. All of it stands above the beer at first, `settled_share` once the beer
/// takes up its own: first order, with the time constant `settles_h`.
[[nodiscard]] inline double share_above_beer(double settled_share, double settles_h, double hours) {
    return settled_share + (1 - settled_share) * std::exp(-hours / settles_h);
}
/// How the gas meets the beer.
enum class GassingMethod { head_space_still, shaken_keg, fine_stone };

/// What to expect of a method before anything was learnt. The 95 % times are common practice; the kLa follow
/// from them.
struct KlaPrior {
    GassingMethod method;
    std::string_view name;
    double kla_per_hour;
    double low;
    double high;
};
// clang-format off
inline constexpr std::array kla_priors{
    KlaPrior{GassingMethod::head_space_still, "head space, still",    0.0125, 0.009, 0.025},  // 10 d, 5 to 14 d
    KlaPrior{GassingMethod::shaken_keg,       "shaken or rolled keg", 6.0,    3.0,   36.0},   // 30 min, 5 to 60 min
    KlaPrior{GassingMethod::fine_stone,       "fine stone, bottom",   0.25,   0.12,  1.5},    // 12 h, 2 to 24 h
};
// clang-format on
[[nodiscard]] constexpr const KlaPrior& kla_prior(GassingMethod method) {
    for (const KlaPrior& prior : kla_priors)
        if (prior.method == method) return prior;
    return kla_priors.front();
}

}  // namespace gyled::brewing
