#include "daemon/estimation/gas/rise.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/dissolution.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr RiseParameters parameters;

double set_free_per_h(const SugarLeft& one) {
    const brewing::GravityDrop& drop = one.drop;
    return brewing::co2_volumes_from_drop(
        {drop.original_sg, drop.from_sg, drop.from_sg - one.falls_sg_per_h});
}

}  // namespace

Sharing sharing_in(const brewing::SealedVessel& vessel, double beer_c, base::Pressure co2) {
    const double per_volume = brewing::kpa_per_volume(vessel, {beer_c, co2});
    const double held = vessel.beer_factor * brewing::volumes_in_water_per_kpa(beer_c, co2);
    return {per_volume, 1 / (1 + held * per_volume), 0};
}

std::vector<SugarLeft> sugar_given(std::vector<SugarLeft> sugar, const Rise& rise, const Sharing& sharing) {
    const double per_volume =
        sharing.kpa_per_volume *
        brewing::share_above_beer(sharing.settled_share, parameters.settles_h, rise.shut_h);
    if (!(per_volume > 0) || !std::isfinite(rise.kpa_per_h)) return sugar;
    const double reading = rise.sigma / per_volume;
    const double warmth = parameters.given_off_per_c * sharing.in_beer * rise.c_per_h / 2;
    const double seen = rise.kpa_per_h / per_volume - warmth;
    const double unsteady =
        parameters.steady_volumes_per_h +
        parameters.unsteady_volumes_per_h * std::exp(-rise.shut_h / parameters.steadies_h);
    const double floor = std::hypot(reading, unsteady, warmth);
    for (SugarLeft& one : sugar) {
        const double set_free = set_free_per_h(one);
        // the share is off by a factor: the geometric mean makes it the same in either direction
        const double shared =
            parameters.shares_sigma * std::sqrt(std::max(0.0, seen) * std::max(0.0, set_free));
        const double z = (seen - set_free) / std::hypot(floor, shared);
        one.weight *= parameters.gauge_is_wrong + std::exp(-z * z / 2);
    }
    return sugar;
}

}  // namespace gyled::estimation::gas
