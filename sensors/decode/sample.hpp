#pragma once
/// What a decoder finds in a payload: a raw number with the unit and time that stood beside it, or why there
/// is none.

#include <optional>
#include <string>

#include "daemon/base/result.hpp"
#include "sensors/reading.hpp"

namespace gyled::sensors {

/// One raw number, not yet converted, calibrated or judged. Always finite.
struct Sample {
    double value = 0;
    std::string unit;             ///< as the payload spells it; empty when it says nothing
    std::optional<Timestamp> at;  ///< the payload's own time
    bool relative_time = false;   ///< `at` was counted from the arrival, so a retained copy cannot be dated
};

/// Why a payload, or one record of it, gave no number.
struct Refusal {
    std::string reason;  ///< short_snake_case, a counter's name
    std::string detail;  ///< a sentence that names the place
};

using Decoded = base::Result<Sample, Refusal>;

}  // namespace gyled::sensors
