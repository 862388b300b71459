#include "daemon/batch/plan.hpp"

#include <algorithm>

namespace gyled::batch {

std::optional<double> VesselSpec::lowest_limit_kpa() const {
    std::optional<double> lowest;
    for (const auto& rating : {working_pressure_kpa, relief_pressure_kpa, weakest_fitting_kpa})
        if (rating) lowest = lowest ? std::min(*lowest, *rating) : *rating;
    return lowest;
}

}  // namespace gyled::batch
