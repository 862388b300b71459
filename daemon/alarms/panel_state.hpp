#pragma once
/// Everything an alarm panel remembers between two evaluations: plain values that the store keeps, so that a
/// restart is no event.

#include <optional>
#include <vector>

#include "daemon/alarms/occurrence.hpp"

namespace gyled::alarms {

/// How far a value has come on its way into a new stage's band (approach.hpp).
struct ApproachState {
    std::optional<Timestamp> stage_since;  ///< of the stage it belongs to
    std::optional<double> nearest;  ///< signed distance from the band, canonical unit; above is positive
    bool arrived = false;
    friend bool operator==(const ApproachState&, const ApproachState&) = default;
};

struct PanelState {
    std::vector<Occurrence>
        occurrences;  ///< in the order in which they began: pending ones and told information, too
    ApproachState temperature, pressure;
    std::optional<Timestamp> listening_since;  ///< since when the broker could have brought readings
    friend bool operator==(const PanelState&, const PanelState&) = default;
};

}  // namespace gyled::alarms
