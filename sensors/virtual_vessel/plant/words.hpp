#pragma once
/// Spans and troubles as people type them.

#include <optional>
#include <string>
#include <string_view>

#include "daemon/base/result.hpp"
#include "sensors/virtual_vessel/plant/scenario.hpp"

namespace gyled::virtual_vessel {

/// "12d", "36h", "1h30min", "1.5h", "45s", "0". Units d, h, min (or m) and s. Nothing for anything else, and
/// for more than a hundred years.
[[nodiscard]] std::optional<Duration> duration_from(std::string_view text);

/// A trouble as typed: KIND[@OFFSET][,for=SPAN][,amount=NUMBER][,sensor=QUANTITY], as in "stuck",
/// "leak@3d,amount=0.2", "sensor-dropout@2d,for=6h,sensor=gravity".
struct TypedTrouble {
    Trouble trouble;
    bool has_offset = false;  ///< else it is meant now
};
/// The reason, when it cannot be understood, is a sentence for people.
[[nodiscard]] base::Result<TypedTrouble, std::string> trouble_from(std::string_view text);

}  // namespace gyled::virtual_vessel
