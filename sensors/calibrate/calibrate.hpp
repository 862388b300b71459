#pragma once
/// From the number a sensor sends to the value in its vessel: transducer, unit, curve, offset, in this order.

#include <string_view>

#include "daemon/base/quantity.hpp"
#include "daemon/base/result.hpp"
#include "sensors/calibrate/calibration.hpp"
#include "sensors/decode/refusal.hpp"
#include "sensors/units/units.hpp"

namespace gyled::sensors {

/// The road from raw to canonical of one sensor, checked once, walked for each reading. Immutable: any thread
/// may use it.
class Calibrator {
public:
    /// `unit` as the configuration writes it; empty: the canonical one of the quantity. Throws
    /// std::invalid_argument, in words for the person who wrote it, when this cannot work.
    Calibrator(base::Quantity quantity, std::string_view unit, Calibration how);

    /// The unit of the number in the payload: the sensor's own, or ohm or V when a transducer stands in
    /// between.
    [[nodiscard]] const Unit& payload_unit() const { return *payload_unit_; }

    /// `raw` in `from`, a unit of the same dimension as `payload_unit()`. The result is finite and canonical.
    /// Reasons: wire_fault, outside_calibration, not_finite.
    [[nodiscard]] base::Result<double, Refusal> apply(double raw, const Unit& from) const;

private:
    [[nodiscard]] base::Result<double, Refusal> apply_element(double raw) const;
    [[nodiscard]] base::Result<double, Refusal> apply_curves(double x) const;

    Calibration how_;
    const Unit* unit_;          ///< of the value, as the configuration names it
    const Unit* payload_unit_;  ///< of the number in the payload
};

}  // namespace gyled::sensors
