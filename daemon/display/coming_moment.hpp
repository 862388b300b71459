#pragma once
/// What a person types as a moment that lies ahead of them: "now", "+6h", "20:00", "Fri20:00", or RFC 3339.
/// Pure functions; any thread.

#include <optional>
#include <string>
#include <string_view>

#include "daemon/base/result.hpp"
#include "daemon/display/display.hpp"

namespace gyled::display {

/// A clock's time is that of the person's zone, the next one after `now`; with a day, on the next such day. A
/// moment in full may lie anywhere; the caller knows what it allows. The error is a sentence for the person.
[[nodiscard]] base::Result<Timestamp, std::string> coming_moment(std::string_view text,
                                                                 const Display& display, Timestamp now);
/// "90min", "6h", "7d": nothing for any other text, or for more than a year.
[[nodiscard]] std::optional<Duration> typed_span(std::string_view text);

}  // namespace gyled::display
