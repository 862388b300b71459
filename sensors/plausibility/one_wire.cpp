#include "sensors/plausibility/one_wire.hpp"

#include <cmath>

namespace gyled::sensors {

std::optional<Refusal> OneWireWatch::refuse(double raw_celsius, const std::optional<Past>& before) {
    constexpr double power_up = 85;
    constexpr double none = -127;
    if (raw_celsius == none) return Refusal{"no_device", "-127 degC: no thermometer answers on the bus"};
    if (raw_celsius != power_up) {
        unproven_ = 0;
        return std::nullopt;
    }
    if (before ? std::abs(before->value - power_up) <= 10 : ++unproven_ >= 3) return std::nullopt;
    return Refusal{"sensor_power_up", "exactly 85 degC: the thermometer has started and not yet measured"};
}

}  // namespace gyled::sensors
