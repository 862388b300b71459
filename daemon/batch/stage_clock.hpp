#pragma once
/// How far the stage in which a batch stands has come towards its end: plain values, kept over a restart, so
/// that a rest of an hour that is interrupted after 50 minutes ends ten minutes later.

#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::batch {

struct StageClock {
    enum class Direction : std::uint8_t { unknown, rising, falling };
    base::Duration in_band{};                     ///< so long has the beer been within the stage's band
    std::optional<base::Timestamp> in_band_seen;  ///< when it was last seen there
    Direction direction =
        Direction::unknown;  ///< of a temperature end: from where the beer stood when the stage began
    friend bool operator==(const StageClock&, const StageClock&) = default;
};

}  // namespace gyled::batch
