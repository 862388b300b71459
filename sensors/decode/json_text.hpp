#pragma once
/// JSON that a stranger may have written: parsed within limits of length and depth.

#include <nlohmann/json.hpp>

#include "sensors/decode/sample.hpp"

namespace gyled::sensors {

/// How deep objects and arrays may be nested. No sensor needs ten; the limit keeps hostile text cheap.
inline constexpr int deepest_json = 64;

/// Reasons: too_long, empty_payload, not_utf8, nested_too_deep, not_finite (a number beyond a double),
/// not_json with the byte where reading stopped. Never throws.
[[nodiscard]] base::Result<nlohmann::json, Refusal> parse_json(std::string_view payload);

/// "a string", "an object": for messages.
[[nodiscard]] std::string_view kind_of(const nlohmann::json& value);

/// A moment given as a number of seconds since 1970; nothing outside the years 1970 to 9999.
[[nodiscard]] std::optional<Timestamp> moment_from_seconds(double seconds);

}  // namespace gyled::sensors
