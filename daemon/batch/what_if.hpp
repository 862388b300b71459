#pragma once
/// What a hypothesis (estimation/foresight.hpp) would come to in its vessel, and whether it may be done at
/// all: judged by the unsafe end of each interval against what the lowest rated part bears. What must not be
/// done is refused in words. That nothing is refused is no word that it is safe: **the relief valve protects,
/// this does not.**
///
/// Pure; any thread; takes as long as the foresight. Pressures kPa gauge.

#include <string>
#include <vector>

#include "daemon/batch/plan.hpp"
#include "daemon/display/display.hpp"
#include "daemon/estimation/foresight.hpp"

namespace gyled::batch {

struct WhatIfAnswer {
    std::vector<estimation::Foreseen> course;  ///< empty when it was refused at sight, or nobody could know
    std::vector<std::string> refused;          ///< why it must not be done
    std::vector<std::string> remarks;          ///< what it assumes, what to mind
};

[[nodiscard]] WhatIfAnswer what_if(const estimation::Foresight& belief,
                                   const estimation::Hypothesis& hypothesis, const VesselSpec& vessel,
                                   const display::Display& display);

}  // namespace gyled::batch
