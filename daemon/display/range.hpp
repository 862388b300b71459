#pragma once
/// A span of time as a person says it: "Friday night to Sunday".

#include "daemon/display/display.hpp"

namespace gyled::display {

/// Wider than this, hours from the middle to an end, a moment is told as a range.
inline constexpr double told_as_range_h = 6;

/// From `low` to `high`, as seen from `now`: days by their names within a week, by their dates else; with
/// the part of the day where the range is no wider than two and a half days; "from Friday on" when its end
/// is further away than two months or never comes. In the person's zone, UTC where that is unknown. Seconds
/// since the epoch.
[[nodiscard]] std::string range_text(const Display& display, double low, double high, Timestamp now);

}  // namespace gyled::display
