#pragma once
/// The two temperatures that digital thermometers on a 1-wire bus give when they have measured none.

#include <optional>

#include "sensors/decode/sample.hpp"
#include "sensors/plausibility/track.hpp"

namespace gyled::sensors {

/// Exactly 85 degC is the power-up value, -127 what drivers say for no device (the first from component data
/// sheets, the second common practice). Mash water may truly be at 85.0 degC: the value is refused only when
/// it lies more than 10 degC from the reading before it, or, when there is none to compare with, until it has
/// come three times in a row.
class OneWireWatch {
public:
    /// `raw_celsius` as in the payload, before any calibration. Reasons: no_device, sensor_power_up.
    [[nodiscard]] std::optional<Refusal> refuse(double raw_celsius, const std::optional<Past>& before);

private:
    int unproven_ = 0;  // power-up values in a row with nothing to compare with
};

}  // namespace gyled::sensors
