#include "sensors/calibrate/ratiometric.hpp"

namespace gyled::sensors {

std::optional<double> ratiometric(double volts, double supply_volts, double full_scale) {
    const double part = volts / supply_volts;
    if (!(part >= 0.05 && part <= 0.95)) return std::nullopt;
    return (part - 0.1) / 0.8 * full_scale;
}

}  // namespace gyled::sensors
