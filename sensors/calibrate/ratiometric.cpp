#include "sensors/calibrate/ratiometric.hpp"

namespace gyled::sensors {

std::optional<double> ratiometric(double volts, double supply_volts, double full_scale,
                                  const RatiometricScale& scale) {
    const double share = volts / supply_volts;
    if (!(share >= scale.least && share <= scale.most)) return std::nullopt;
    return (share - scale.zero) / (scale.full - scale.zero) * full_scale;
}

}  // namespace gyled::sensors
