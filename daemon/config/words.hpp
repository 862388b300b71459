#pragma once
/// Words that people type: durations, and names that are almost right.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/result.hpp"
#include "daemon/base/time.hpp"

namespace gyled::config {

using base::Duration;
using Words = std::vector<std::string_view>;

/// "; did you mean 'volume_l'?" when a candidate is near (letters swapped, missing, too many or wrong: at
/// most one in three), else "; known: a, b, c" when there are few candidates, else nothing.
[[nodiscard]] std::string hint(std::string_view word, const Words& candidates);

/// Numbers with units, one after the other: "45min", "2h", "1h 30min", "0.5d", "500ms". Units: ms s min h d.
/// The error says what is wrong in words.
[[nodiscard]] base::Result<Duration, std::string> parse_duration(std::string_view text);

}  // namespace gyled::config
