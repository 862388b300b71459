#include "daemon/json/inputs.hpp"

#include <vector>

namespace gyled::json {
namespace {

using base::Quantity;

/// What decides an estimate; what merely refines it (the temperature under a gravity curve) is left out.
std::vector<Quantity> inputs_of(Quantity estimate) {
    using enum Quantity;
    switch (estimate) {
        case gravity_now:
        case gravity_rate:
        case final_gravity:
        case finish_time:
        case apparent_attenuation:
        case real_attenuation:
        case alcohol_by_volume:
            return {gravity};
        case co2_volumes:
        case co2_equilibrium_volumes:
        case carbonated_time:
        case warm_pressure:
        case crash_pressure:
        case head_space_air:
        case head_space_oxygen:
            return {beer_temperature, head_pressure};
        case residual_co2_potential:
            return {gravity, beer_temperature};
        case closed_pressure:
        case closing_gravity:
            return {gravity, beer_temperature, head_pressure};
        case pressure_headroom:
        case limit_time:
            return {head_pressure};
        case ready_time:
        case heated_volume:
            return {beer_temperature};
        default:
            return {};  // measured: it is its own input
    }
}

}  // namespace

std::optional<std::pair<Quantity, alarms::Latest>> stale_input(const cellar::VesselView& view,
                                                               Quantity estimate) {
    std::optional<std::pair<Quantity, alarms::Latest>> oldest;
    for (const Quantity input : inputs_of(estimate)) {
        const auto found = view.latest.find(input);
        if (found == view.latest.end() || view.at - found->second.at <= found->second.stale_after) continue;
        if (!oldest || found->second.at < oldest->second.at) oldest = *found;
    }
    return oldest;
}

}  // namespace gyled::json
