#pragma once
/// From the number a sensor sends to the value in its vessel: transducer, unit, curve, offset, in this order.

#include "daemon/base/result.hpp"
#include "sensors/decode/sample.hpp"
#include "sensors/intake.hpp"
#include "sensors/units.hpp"

namespace gyled::sensors {

/// The road from raw to canonical of one sensor, checked once, walked for each reading.
class Calibrator {
public:
    /// Throws std::invalid_argument, in words for the person who wrote the configuration, when the spec
    /// cannot work.
    explicit Calibrator(const SensorSpec& spec);

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
