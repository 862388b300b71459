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

double lifts_from_kpa(double mark_kpa) {
    if (mark_kpa < brewing::asme_scope_kpa_gauge) return brewing::operating_fraction_max * mark_kpa;
    return mark_kpa - brewing::set_tolerance_kpa(mark_kpa);
}

std::optional<double> highest_set_kpa(const VesselSpec& vessel) {
    const auto limit = vessel.lowest_limit_kpa();
    if (!limit || !vessel.relief_pressure_kpa) return limit;
    return std::min(*limit, lifts_from_kpa(*vessel.relief_pressure_kpa));
}

std::optional<Band> bearable_band(const StagePlan& stage, const VesselSpec& vessel) {
    const auto limit = vessel.lowest_limit_kpa();
    if (!stage.pressure_kpa || !limit) return stage.pressure_kpa;
    const Band& planned = *stage.pressure_kpa;
    return Band{planned.low > *highest_set_kpa(vessel) ? 0 : planned.low, std::min(planned.high, *limit)};
}

}  // namespace gyled::batch
