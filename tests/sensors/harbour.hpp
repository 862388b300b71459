#pragma once
/// What the sensor tests share: sensors of the vessel "north" in the Harbour cellar, and the evening they
/// start.

#include <limits>
#include <string>
#include <utility>

#include "sensors/intake.hpp"

namespace gyled::sensors::harbour {

using namespace std::chrono_literals;

/// 2026-03-01T18:00:00Z.
inline const Timestamp evening = base::from_unix_seconds(1'772'388'000);

inline SensorSpec thermometer() {
    SensorSpec spec;
    spec.id = "north-beer";
    spec.vessel = "north";
    spec.measures = Quantity::beer_temperature;
    spec.topic = "cellar/north/temperature";
    spec.unit = "degC";
    return spec;
}

inline SensorSpec hydrometer() {
    SensorSpec spec;
    spec.id = "north-gravity";
    spec.vessel = "north";
    spec.measures = Quantity::gravity;
    spec.topic = "cellar/north/gravity";
    spec.unit = "SG";
    return spec;
}

inline SensorSpec pressure_gauge() {
    SensorSpec spec;
    spec.id = "north-head";
    spec.vessel = "north";
    spec.measures = Quantity::head_pressure;
    spec.topic = "cellar/north/pressure";
    spec.unit = "kPa";
    return spec;
}

inline Message message(const SensorSpec& spec, std::string payload, Timestamp arrived = evening) {
    return {.topic = spec.topic, .payload = std::move(payload), .arrived = arrived};
}

inline Message retained(const SensorSpec& spec, std::string payload, Timestamp arrived = evening) {
    Message kept = message(spec, std::move(payload), arrived);
    kept.retained = true;
    return kept;
}

/// The single reason of an outcome, or how many outcomes there were instead.
inline std::string reason(const Intaken& outcome) {
    if (outcome.rejects.size() == 1) return outcome.rejects[0].reason;
    return std::to_string(outcome.rejects.size()) + " rejects, " + std::to_string(outcome.readings.size()) +
           " readings";
}

/// The value of the only, accepted reading; NaN when it is not so.
inline double accepted_value(const Intaken& outcome) {
    const bool one = outcome.rejects.empty() && outcome.readings.size() == 1 &&
                     outcome.readings[0].verdict == Verdict::accepted;
    return one ? outcome.readings[0].value : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace gyled::sensors::harbour
