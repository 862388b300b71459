#pragma once
/// Faster than the vessel allows? One wild reading is doubted; a new level that stays is believed.

#include <optional>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "sensors/plausibility/track.hpp"

namespace gyled::sensors {

/// How far a quantity may move between two readings, in the canonical unit. Common practice.
struct JumpLimit {
    double step = 0;        ///< at once
    double per_minute = 0;  ///< and for each minute between them beyond `grace`
    Duration grace{};
    [[nodiscard]] double allowance(Duration between) const;
    [[nodiscard]] bool allows(const Past& a, const Past& b) const;
};

/// Nothing for a quantity that is never held back. Pressure is such: a burst of pressure is real until
/// somebody has looked, and doubting it even once could hurt a person.
[[nodiscard]] std::optional<JumpLimit> jump_limit(base::Quantity q);

/// So many readings in a row that are refused but agree with each other move the level: dough-in, hot liquor
/// and a float moved from water to wort are real. Two may be one glitch seen twice.
inline constexpr std::size_t readings_that_move_the_level = 3;

/// Is this reading to be refused, because it lies too far from both its neighbours in event time? Call once
/// for each, in the order of arrival. `doubted` is the memory: the readings refused in a row, agreeing with
/// each other, at most `readings_that_move_the_level` - 1; begin with none. A doubted reading that is merely
/// delivered again proves nothing.
[[nodiscard]] bool is_impossible_jump(const JumpLimit& limit, const Track::Neighbours& neighbours,
                                      const Past& reading, std::vector<Past>& doubted);

}  // namespace gyled::sensors
