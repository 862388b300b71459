#pragma once
/// What a decoder finds in a payload: a raw number with the unit and time that stood beside it, or why there
/// is none.

#include <optional>
#include <string>

#include "daemon/base/result.hpp"
#include "daemon/base/time.hpp"
#include "sensors/decode/refusal.hpp"

namespace gyled::sensors {

using base::Timestamp;

/// One raw number, not yet converted, calibrated or judged.
struct Sample {
    double value = 0;             ///< finite; in `unit`, or in the sensor's own unit when that is empty
    std::string unit;             ///< as the payload spells it; empty when it says nothing
    std::optional<Timestamp> at;  ///< the payload's own time, 1970 to 9999; nothing: about now
    bool relative_time = false;   ///< `at` was counted from the arrival, so a retained copy cannot be dated
};

using Decoded = base::Result<Sample, Refusal>;

}  // namespace gyled::sensors
