#pragma once
/// One [[sensor]] of the configuration: what is measured where, and how its payload is to be read.

#include <optional>
#include <string>

#include "sensors/calibrate/calibration.hpp"
#include "sensors/decode/shape.hpp"
#include "sensors/reading.hpp"

namespace gyled::sensors {

/// The sensor's own sign of life: a topic on which it, or its last will, says one of two words.
struct Availability {
    std::string topic;  ///< MQTT topic filter
    std::string yes = "online";
    std::string no = "offline";  ///< another word than `yes`
};

/// Several probes may speak on one topic, each naming itself.
struct ProbeName {
    std::string pointer;  ///< RFC 6901
    std::string equals;
};

/// Plain values; `Sensor` checks them.
struct SensorSpec {
    std::string id;       ///< unique; made from vessel and quantity when the person gives none
    std::string vessel;   ///< vessel id
    Quantity quantity{};  ///< a measured one
    std::string topic;    ///< MQTT topic filter, + and # allowed
    PayloadKind payload = PayloadKind::number;
    std::string pointer;  ///< RFC 6901 for json; the resolved name for senml; empty for number
    /// As written: "degC", "degF", "SG", "degP", "kPa", "bar", "psi", ...; empty: canonical.
    std::string unit;
    std::string unit_pointer;  ///< json only: where the payload says its unit, any of the dimension; then
                               ///< `unit` is empty
    std::string time_pointer;  ///< json only; empty: time of arrival (senml carries its own)
    TimeUnit time_unit = TimeUnit::automatic;
    std::string time_zone = "UTC";  ///< of times without an offset, as IANA writes it
    /// json only: the sensor reads only messages, or elements of a list, where this text stands at this
    /// pointer.
    std::optional<ProbeName> where;
    bool absolute = false;  ///< head and supply pressure only: it reads absolute, not gauge
    /// Without a reading for so long it counts as silent. Nothing: from its cadence.
    std::optional<Duration> silent_after;
    /// Plausible range in the canonical unit, ends included; absent: the quantity's default.
    std::optional<double> low, high;
    Calibration calibration;
    std::optional<Availability> available;
};

}  // namespace gyled::sensors
