#pragma once
/// One line for a person: what is in there, what happens next, is it safe.

#include <string>

#include "daemon/cellar/view.hpp"
#include "daemon/display/display.hpp"

namespace gyled::cellar {

/// "Harbour Mild, ferment, day 5: 1.018 SG (58 % attenuated) at 19.4 °C. Finished Friday night to Sunday
/// morning. Head pressure 0.02 bar, 1.78 bar below the limit." Its own field `sentence` is not read.
[[nodiscard]] std::string sentence(const VesselView& view, const display::Display& display);

/// "2.0 °C reached": why a stage that ends so has come to its end.
[[nodiscard]] std::string end_text(const batch::StageEnd& end, const display::Display& display);

}  // namespace gyled::cellar
