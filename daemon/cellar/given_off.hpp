#pragma once
/// How much CO2 has left a vessel into the room in the last twelve hours, from what is believed: what was
/// fermented, less what the vessel holds more than it held then. What a cylinder fed in meanwhile is not
/// known, so it is at least that much. Thread: the core's. Litres of CO2 at 0 degC and 101.325 kPa.

#include <optional>
#include <vector>

#include "daemon/alarms/situation.hpp"
#include "daemon/base/clock.hpp"

namespace gyled::cellar {

/// What the vessel held at one moment.
struct CarbonDioxideHeld {
    base::Timestamp at;
    double gravity_sg = 0;
    double litres = 0;  ///< dissolved and above the beer
    friend bool operator==(const CarbonDioxideHeld&, const CarbonDioxideHeld&) = default;
};

/// One entry an hour, of the last twelve hours at most. Plain memory, in order of time.
using CarbonDioxideHistory = std::vector<CarbonDioxideHeld>;

/// Writes down what is held now, when an hour has gone by, and forgets what is too old.
void note(CarbonDioxideHistory& history, const alarms::Situation& now);
/// Given off since the oldest entry, not below 0; nothing while nothing is believed or no hour has gone by.
[[nodiscard]] std::optional<double> given_off_l(const CarbonDioxideHistory& history,
                                                const alarms::Situation& now);

}  // namespace gyled::cellar
