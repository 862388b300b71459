#pragma once
/// The hours in which a person wants to be woken for danger only. Plain values; any thread.

#include <optional>
#include <string_view>

#include "daemon/base/time.hpp"
#include "daemon/display/display.hpp"

namespace gyled::annunciation {

/// Minutes of the local day; may run over midnight. Equal ends: none.
struct QuietHours {
    int from = 0, to = 0;
    friend bool operator==(const QuietHours&, const QuietHours&) = default;
};

/// "22:30-06:30"; nothing for any other text.
[[nodiscard]] std::optional<QuietHours> quiet_hours(std::string_view text);

/// Is it quiet at `t`, by the clocks of the person's zone?
[[nodiscard]] bool is_quiet(const QuietHours& hours, base::Timestamp t, const display::Display& display);

}  // namespace gyled::annunciation
