#pragma once
/// Facts: things that we hold to have happened, and may have to take back.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/base/time.hpp"

namespace gyled::estimation {

enum class FactKind : std::uint8_t {
    fermentation_started,
    fermentation_stalled,
    fermentation_finished,
    fermentation_resumed,
    carbonated,
    leak_suspected,
};
[[nodiscard]] std::string_view name(FactKind kind);
[[nodiscard]] std::optional<FactKind> fact_kind_named(std::string_view text);

struct Fact {
    FactKind kind{};
    base::Timestamp at;  ///< event time at which the evidence sufficed
    std::string evidence;   ///< a sentence with figures: why we say so
    bool revoked = false;   ///< new evidence spoke against it
    base::Timestamp revoked_at{};
    std::string revoked_because;
};

}  // namespace gyled::estimation
