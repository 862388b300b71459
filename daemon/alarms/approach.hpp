#pragma once
/// A new stage begins far from its band: beer at 20 degC enters the crash. Until the band has been reached
/// once, being outside is no alarm; unless it takes too long, or the value moves away.

#include <optional>

#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"

namespace gyled::alarms {

class Approach {
public:
    struct Look {
        base::Timestamp at;
        base::StageKind stage{};
        base::Timestamp stage_since;
        base::Band band;
        std::optional<double> value;
        double moving_away = 0;      ///< further from the band by this than it was: not on its way
        base::Duration patience;  ///< after this long it should have arrived
        bool alarm_stands = false;   ///< raised in this stage already: it must have been there, or overdue
    };
    /// Is the value still on its way to the band? Remembers the nearest it came.
    bool on_its_way(const Look& look);

private:
    std::optional<base::Timestamp> stage_since_;
    std::optional<double> nearest_;  ///< signed distance from the band: above is positive
    bool arrived_ = false;
};

/// How long a vessel of a home cellar may take to bring beer into a new stage's temperature band.
[[nodiscard]] base::Duration time_to_reach_temperature(base::StageKind stage);

}  // namespace gyled::alarms
