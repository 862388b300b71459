#pragma once
/// The steps that a person takes through a plan. Pure functions over plain values; any thread.

#include <optional>
#include <string>

#include "daemon/base/result.hpp"
#include "daemon/batch/record.hpp"

namespace gyled::batch {

enum class Move : std::uint8_t {
    next,  ///< to the stage that follows in the plan
    skip,  ///< past it, to the one after: it is left out
    back,  ///< to the stage before in the plan, to go through it once more
};

/// The stage of the plan that is entered, 0 is the first; or in words why there is none. Precondition: the
/// batch has entered one.
[[nodiscard]] base::Result<std::size_t, std::string> target_of(Move move, const Record& record);

/// What became of stage `index` of the plan.
enum class StageState : std::uint8_t { past, skipped, now, to_come };
[[nodiscard]] std::string_view name(StageState state);
[[nodiscard]] StageState state_of(std::size_t index, const std::vector<Record::Entered>& entered);

}  // namespace gyled::batch
