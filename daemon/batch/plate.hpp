#pragma once
/// What the rated parts of a vessel bear: the lowest decides. Pressures kPa gauge. Pure functions; any
/// thread.

#include <optional>

#include "daemon/batch/plan.hpp"

namespace gyled::batch {

enum class RatedPart : std::uint8_t { vessel, relief_valve, fitting };

struct LowestPart {
    RatedPart part{};
    double kpa = 0;
};

/// The part that gives way, or opens, first; nothing when no part's rating is known. A relief valve comes
/// before others of the same rating: it is the one that opens.
[[nodiscard]] std::optional<LowestPart> lowest_part(const VesselSpec& vessel);

/// The most at which a regulator or a spunding valve may be set: no part is above its rating, and the relief
/// valve stays shut. Nothing when no part's rating is known.
[[nodiscard]] std::optional<double> highest_set_kpa(const VesselSpec& vessel);

/// The stage's pressure band as far as a person may be held to it: its upper end is no more than the lowest
/// rated part bears, and a lower end above `highest_set_kpa` counts as 0: nobody may be sent upwards there.
[[nodiscard]] std::optional<Band> bearable_band(const StagePlan& stage, const VesselSpec& vessel);

}  // namespace gyled::batch
