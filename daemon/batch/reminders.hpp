#pragma once
/// What a person beside the vessel is reminded of in time: that a stage is about to reach its end, and what
/// goes into the boil. Pure functions; time is an argument.

#include <optional>
#include <span>

#include "daemon/batch/record.hpp"

namespace gyled::batch {

struct ReminderParameters {
    Duration ahead = std::chrono::minutes{10};     ///< so long before the end: a kettle is reached in less
    Duration worth_it = std::chrono::minutes{20};  ///< a stage that is over sooner needs no warning
};

/// Is the end of the stage near, and nobody has been told? `expected`: when its temperature is reached, for a
/// stage that ends so. Only on brew day: what takes weeks is nobody's to wait for.
[[nodiscard]] bool is_soon(const StagePlan& stage, const Record::Entered& entered, const StageClock& clock,
                           Timestamp now, std::optional<Timestamp> expected,
                           const ReminderParameters& parameters = {});

/// The additions that are due and of which nobody was reminded. Only while the minutes of the stage count: a
/// kettle that does not boil yet gets none.
[[nodiscard]] std::span<const Addition> due_additions(const StagePlan& stage, const Record::Entered& entered,
                                                      const StageClock& clock);

}  // namespace gyled::batch
