#include "daemon/batch/plate.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "daemon/brewing/relief.hpp"

namespace gyled::batch {

std::optional<LowestPart> lowest_part(const VesselSpec& vessel) {
    const std::array parts{std::pair{RatedPart::relief_valve, vessel.relief_pressure_kpa},
                           std::pair{RatedPart::vessel, vessel.working_pressure_kpa},
                           std::pair{RatedPart::fitting, vessel.weakest_fitting_kpa}};
    std::optional<LowestPart> lowest;
    for (const auto& [part, rating] : parts)
        if (rating && (!lowest || *rating < lowest->kpa)) lowest = LowestPart{part, *rating};
    return lowest;
}

std::optional<double> highest_set_kpa(const VesselSpec& vessel) {
    const auto limit = vessel.lowest_limit_kpa();
    return limit ? std::optional{brewing::bearable_kpa(*limit, vessel.relief_pressure_kpa)} : limit;
}

std::optional<Band> bearable_band(const StagePlan& stage, const VesselSpec& vessel) {
    const auto limit = vessel.lowest_limit_kpa();
    if (!stage.pressure_kpa || !limit) return stage.pressure_kpa;
    const Band& planned = *stage.pressure_kpa;
    return Band{planned.low > *highest_set_kpa(vessel) ? 0 : planned.low, std::min(planned.high, *limit)};
}

}  // namespace gyled::batch
