#include "sensors/plausibility/one_wire.hpp"

#include <cmath>

namespace gyled::sensors {

std::optional<Refusal> refuse_one_wire_fault(double raw_celsius, const std::optional<Past>& before,
                                             int& unproven, const OneWireParameters& with) {
    if (raw_celsius == with.none_c)
        return Refusal{"no_device", "-127 degC: no thermometer answers on the bus"};
    if (raw_celsius != with.power_up_c) {
        unproven = 0;
        return std::nullopt;
    }
    const bool credible = before ? std::abs(before->value - with.power_up_c) <= with.credible_c
                                 : ++unproven >= with.repeats_proving;
    if (credible) return std::nullopt;
    return Refusal{"sensor_power_up", "exactly 85 degC: the thermometer has started and not yet measured"};
}

}  // namespace gyled::sensors
