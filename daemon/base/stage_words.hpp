#pragma once
/// Stages as a person says them. Pure; any thread.

#include <string>

#include "daemon/base/stage.hpp"

namespace gyled::base {

/// "mash-out", "diacetyl rest", "tightness test"; else the name.
[[nodiscard]] std::string spoken(StageKind kind);

/// A person stands beside the vessel: from strike to chill, and while it is cleaned.
[[nodiscard]] constexpr bool is_brew_day(StageKind kind) {
    return kind <= StageKind::chill || is_cleaning(kind);
}

}  // namespace gyled::base
