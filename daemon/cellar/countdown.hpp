#pragma once
/// What the person who stands beside the vessel waits for: the end of a rest, or a temperature. One line, as
/// page, status and sentence say it. Pure function of the view; any thread.

#include <optional>
#include <string>

#include "daemon/base/estimate.hpp"
#include "daemon/batch/stage_clock.hpp"
#include "daemon/cellar/view.hpp"
#include "daemon/display/display.hpp"

namespace gyled::cellar {

/// What the stage under way waits for; nothing when it ends by hand or by what the beer does. `clock`: the
/// stage's; `levels_off_c`: where it ends if nothing changes, short of what the stage wants.
[[nodiscard]] std::optional<Countdown> countdown_of(const VesselView& view, const batch::StageClock& clock,
                                                    const std::optional<base::Estimate>& levels_off_c,
                                                    const display::Display& display);

}  // namespace gyled::cellar
