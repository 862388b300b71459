#pragma once
/// Facts: what we hold to have happened, and may have to revoke. Plain values; the names are part of the
/// public JSON.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/base/time.hpp"

namespace gyled::estimation {

enum class FactKind : std::uint8_t {
    fermentation_started,   ///< the gravity has begun to fall
    fermentation_stalled,   ///< it stands, well above the end that was expected
    fermentation_finished,  ///< it stands, at its end; never told of a beer gone cold
    fermentation_resumed,   ///< it falls again after one of these two
    carbonated,             ///< the beer holds its target of CO2
    leak_suspected,         ///< CO2 leaves a vessel that is shut
    relief_opened,          ///< the relief valve has let gas go
    purged,                 ///< the head space was filled with CO2 and let off, to be rid of its air
    shut_in_wanted,         ///< shutting the gas for a while would tell how fast this beer takes it up
    gauge_contradicts,      ///< the beer cannot hold what was reckoned under the pressure that is seen
    doughed_in,             ///< the grain has met the liquor
    fermentation_overdue,   ///< no fall, though this culture would nearly always have begun by now
};
/// As in the enumerator.
[[nodiscard]] std::string_view name(FactKind kind);
/// The inverse; nothing for any other text.
[[nodiscard]] std::optional<FactKind> fact_kind_named(std::string_view text);

struct Fact {
    FactKind kind{};
    base::Timestamp at;    ///< event time at which the evidence sufficed
    std::string evidence;  ///< a sentence with figures: why we say so
    bool revoked = false;  ///< new evidence spoke against it
    base::Timestamp revoked_at{};
    std::string revoked_because;
};

}  // namespace gyled::estimation
