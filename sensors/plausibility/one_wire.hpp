#pragma once
/// The two temperatures that digital thermometers on a 1-wire bus give when they have measured none.

#include <optional>

#include "sensors/decode/refusal.hpp"
#include "sensors/plausibility/past.hpp"

namespace gyled::sensors {

/// Mash water may truly be at 85.0 degC, so the power-up value is refused with care.
struct OneWireParameters {
    double power_up_c = 85;  ///< the memory's content before the first measurement (component data sheets)
    double none_c = -127;    ///< what drivers say when no device answers (common practice)
    double credible_c =
        10;  ///< power-up is believed so near the reading before it: farther is no minute's heating
    int repeats_proving = 3;  ///< in a row, when there is none before: a thermometer starts once, not thrice
};

/// `raw_celsius` as in the payload, before any calibration; `before` the accepted reading before it, if any.
/// `unproven` is the memory: power-up values in a row with nothing to compare with; begin with 0. Reasons:
/// no_device, sensor_power_up.
[[nodiscard]] std::optional<Refusal> refuse_one_wire_fault(double raw_celsius,
                                                           const std::optional<Past>& before, int& unproven,
                                                           const OneWireParameters& with = {});

}  // namespace gyled::sensors
