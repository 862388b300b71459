#pragma once
/// How one sensor is doing: the raw facts of its own behaviour, for status, page, metrics and rules.

#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"

namespace gyled::sensors {

using base::Quantity;

/// A copy, made when asked for; any thread may keep it. Values in the canonical unit (a pressure of an
/// absolute transducer: kPa absolute). It does not judge whether the sensor is silent: that takes its cadence
/// and a clock, which stand elsewhere.
struct SensorHealth {
    std::string id, vessel, topic;
    Quantity quantity{};
    std::optional<base::Timestamp> last_at;         ///< event time of the latest accepted reading
    std::optional<double> last_value;               ///< of that reading
    std::optional<double> last_known;               ///< from a retained message without a time
    std::uint64_t accepted = 0;                     ///< readings, since the sensor was first known
    std::map<std::string, std::uint64_t> rejected;  ///< by reason
    std::string last_reject;                        ///< the last detail; UTF-8
    std::optional<bool> available;                  ///< what its availability topic said last
    std::uint64_t clock_ahead = 0;  ///< accepted at their arrival, because their own time lay in the future
    /// How far its own clock is off: positive behind, negative ahead; nothing while it is right. See
    /// own_clock.hpp.
    std::optional<base::Duration> clock_off;
    /// Event time from which it has repeated one value although it used to be lively; see stillness.hpp.
    std::optional<base::Timestamp> stuck_since;
};

}  // namespace gyled::sensors
