#pragma once
/// What a person types as a moment that lies behind them: "10:42", "20min ago", "1h30min ago", "now", or RFC
/// 3339. Pure functions; any thread.

#include <string>
#include <string_view>

#include "daemon/base/result.hpp"
#include "daemon/display/display.hpp"

namespace gyled::display {

/// A clock's time is that of the person's zone, the latest that is not after `now`. The error is a sentence
/// for the person. A moment in full may lie anywhere; the caller knows what it allows.
[[nodiscard]] base::Result<Timestamp, std::string> typed_moment(std::string_view text, const Display& display,
                                                                Timestamp now);

}  // namespace gyled::display
