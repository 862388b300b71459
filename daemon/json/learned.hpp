#pragma once
/// What gyled has learnt, as a document: of a vessel, and of each culture. Pure functions.

#include <map>

#include "daemon/cellar/view.hpp"
#include "daemon/display/display.hpp"
#include "daemon/estimation/gravity/prior.hpp"
#include "daemon/json/document.hpp"

namespace gyled::json {

/// {"vessel", "learned": [{"what", "value", "low", "high", "unit", "text", "rests_on", "rests_on_text"}]}:
/// canonical units, the text in the person's; `low` and `high` (90 %) null where no doubt is kept. Empty
/// while nothing is known.
[[nodiscard]] Json learned_of_vessel(const cellar::VesselView& view, const display::Display& display);

/// [{"culture", "batches"}], in order of the name; those that were forgotten are left out.
[[nodiscard]] Json learned_cultures(const std::map<std::string, estimation::LearnedCurve>& learned);

}  // namespace gyled::json
