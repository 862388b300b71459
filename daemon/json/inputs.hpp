#pragma once
/// Which measured quantities a belief rests on, so that it looks no fresher than they are. Pure; any thread.

#include <optional>
#include <utility>

#include "daemon/cellar/view.hpp"

namespace gyled::json {

/// The input of this estimate that went stale first; nothing when all that are measured are fresh. One that
/// no sensor measures is no reason: then the belief rests on something else, as a hand measurement.
[[nodiscard]] std::optional<std::pair<base::Quantity, alarms::Latest>> stale_input(
    const cellar::VesselView& view, base::Quantity estimate);

}  // namespace gyled::json
