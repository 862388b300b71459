#pragma once
/// A new stage begins far from its band: beer at 20 degC enters the crash. Until the band has been reached
/// once, being outside is no alarm; unless it takes too long, or the value moves away. Pure functions on a
/// plain state (panel_state.hpp) that the panel owns; canonical units, event times in UTC.

#include <optional>

#include "daemon/alarms/panel_state.hpp"
#include "daemon/alarms/situation.hpp"

namespace gyled::alarms {

/// Common practice at 20 to 60 L with a heating element or a glycol jacket.
struct ApproachParameters {
    Duration strike =
        std::chrono::hours{3};  ///< a full vessel of liquor from cold; also clean, rinse, sanitise
    Duration mash = std::chrono::minutes{45};    ///< between rests
    Duration boil = std::chrono::hours{2};       ///< also chill
    Duration ferment = std::chrono::hours{2};    ///< pitched beer should be there at once; this bears a
                                                 ///< little warm pitching
    Duration slow = std::chrono::hours{24};      ///< rest, carbonate, serve, purge, tightness
    Duration cold = std::chrono::hours{48};      ///< crash, condition: an ambient-cooled vessel takes two
                                                 ///< days
    Duration pressure = std::chrono::hours{24};  ///< any stage: gas goes in within a day or not at all
    double moving_away_c = 2.0;                  ///< degC further from the band than it was: not on its way
    double moving_away_kpa = 10.0;               ///< kPa, likewise: more than a regulator's droop
};

/// Is the beer's temperature still on its way to the stage's band? Remembers the nearest it came. `was_due`:
/// its band alarm was raised within this stage, so it had arrived or was overdue, also where the stage's
/// beginning has been corrected since.
[[nodiscard]] bool temperature_is_on_its_way(ApproachState& state, const Situation& now, bool was_due,
                                             const ApproachParameters& parameters = {});
/// The same for head pressure.
[[nodiscard]] bool pressure_is_on_its_way(ApproachState& state, const Situation& now, bool was_due,
                                          const ApproachParameters& parameters = {});

}  // namespace gyled::alarms
