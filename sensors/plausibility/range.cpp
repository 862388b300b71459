#include "sensors/plausibility/range.hpp"

#include <limits>

namespace gyled::sensors {

using base::Quantity;

Range default_range(Quantity q, bool absolute) {
    switch (q) {
        case Quantity::beer_temperature:
            return {-5, 110};
        case Quantity::jacket_temperature:
            return {-40, 160};  // glycol to steam
        case Quantity::room_temperature:
            return {-30, 60};
        case Quantity::gravity:
            return {0.980, 1.200};
        case Quantity::head_pressure:
            return absolute ? Range{0, 1100} : Range{-105, 1000};
        case Quantity::supply_pressure:
            return absolute ? Range{0, 25'100} : Range{-105, 25'000};  // a CO2 cylinder
        case Quantity::barometric_pressure:
            return {50, 110};  // 5500 m up to the deepest valley
        case Quantity::battery_voltage:
            return {0, 60};
        case Quantity::signal_strength:
            return {-150, 30};
        default:
            return {-std::numeric_limits<double>::max(), std::numeric_limits<double>::max()};
    }
}

}  // namespace gyled::sensors
