#pragma once
/// What comes out of a payload: one measured value with its own time and a verdict on whether to believe it.

#include <string>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"

namespace gyled::sensors {

using base::Duration;
using base::Quantity;
using base::Timestamp;

/// What arrived from the broker (or from a recorded log), before anyone understood it.
struct Message {
    std::string topic;
    std::string payload;  ///< any bytes
    Timestamp arrived;
    bool retained = false;  ///< replayed by the broker on subscribe: old news unless it carries its own time
};

/// Whether a reading is to be believed, and if not, why.
enum class Verdict : std::uint8_t {
    accepted,
    out_of_range,     ///< outside what the sensor or the quantity can be
    impossible_jump,  ///< faster than the physics of the vessel allows
    stuck,            ///< the very same value for longer than noise permits
    last_known,       ///< retained without a time of its own: shown, not stored, never alarms
    duplicate,        ///< this sensor's reading of this time has been seen
};
[[nodiscard]] std::string_view name(Verdict v);

/// One decoded, calibrated, judged value in the canonical unit of its quantity (brewing/quantity.hpp).
struct Reading {
    std::string sensor;  ///< the sensor's id
    std::string vessel;  ///< the vessel's id
    Quantity quantity{};
    Timestamp at;       ///< when it was taken: the payload's time if it has one, else the arrival
    Timestamp arrived;  ///< when it reached us
    double value = 0;
    bool absolute = false;  ///< head or supply pressure only: kPa absolute instead of gauge
    Verdict verdict = Verdict::accepted;
};

}  // namespace gyled::sensors
