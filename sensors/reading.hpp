#pragma once
/// What comes out of a payload: one measured value with its own time, and its quality: whether to believe it.

#include <cstdint>
#include <string>
#include <string_view>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"
#include "sensors/plausibility/lateness.hpp"

namespace gyled::sensors {

using base::Duration;
using base::Quantity;
using base::Timestamp;

/// What is known of the clock that stamped an arrival.
enum class Stamp : std::uint8_t {
    right,        ///< it was set
    provisional,  ///< nobody had set it yet; whoever sets it, in this run, can tell the right time
    lost,         ///< the same in an earlier run: it has come by now, that is all
};

/// What arrived from the broker (or from a recorded log), before anyone understood it.
struct Message {
    std::string topic;
    std::string payload;    ///< any bytes
    Timestamp arrived;      ///< by our own clock
    bool retained = false;  ///< replayed by the broker on subscribe: old news unless it carries its own time
    Stamp stamp = Stamp::right;  ///< of `arrived`
};

/// Whether a reading is to be believed, and if not, why. That a sensor seems stuck is no quality of its
/// readings but of the sensor: `SensorHealth::stuck_since`.
enum class Quality : std::uint8_t {
    accepted,
    out_of_range,     ///< outside what the sensor or the quantity can be
    impossible_jump,  ///< faster than the physics of the vessel allows
    last_known,       ///< retained without a time of its own: shown, not stored, never alarms
    duplicate,        ///< this sensor's reading of this time has been seen
};
/// The enumerator as a word, "out_of_range": in the database and as a counter's reason.
[[nodiscard]] std::string_view name(Quality q);

/// One decoded, calibrated, judged value in the canonical unit of its quantity (daemon/base/quantity.hpp).
struct Reading {
    std::string sensor;  ///< the sensor's id
    std::string vessel;  ///< the vessel's id
    Quantity quantity{};
    Timestamp at;           ///< when it was taken: the payload's time if it has one, else the arrival, or its
                            ///< place in a backlog
    Timestamp arrived;      ///< when it reached us
    double value = 0;       ///< finite
    bool absolute = false;  ///< head or supply pressure only: kPa absolute instead of gauge
    Quality quality = Quality::accepted;
    Lateness lateness = Lateness::none;

    /// The moment it is news of: never later than its arrival, and the arrival when its own clock is slow.
    /// `at` is what it is stored under.
    [[nodiscard]] Timestamp news_of() const {
        return lateness == Lateness::live || at > arrived ? arrived : at;
    }
};

}  // namespace gyled::sensors
