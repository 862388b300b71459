#pragma once
/// What every payload shape has in common: bytes that should be text.

#include <optional>
#include <string>
#include <string_view>

#include "sensors/decode/sample.hpp"

namespace gyled::sensors {

/// The longest payload that is looked at: 64 KiB. A bulk upload of some 1,000 SenML records fits; what is
/// longer is no sensor's reading.
inline constexpr std::size_t longest_payload_bytes = 64 * 1024;

/// Nothing when the payload is UTF-8 text of a sensible length; else `too_long`, `empty_payload` or
/// `not_utf8`.
[[nodiscard]] std::optional<Refusal> refuse_unreadable(std::string_view payload);

/// UTF-8 as RFC 3629 defines it: no overlong forms, no surrogates, nothing above U+10FFFF.
[[nodiscard]] bool is_utf8(std::string_view bytes);

/// Without white space at either end.
[[nodiscard]] std::string_view trimmed(std::string_view text);

/// A short quotation for a message: at most `longest` characters, what is not printable ASCII shown as '.'.
[[nodiscard]] std::string excerpt(std::string_view text, std::size_t longest = 32);

}  // namespace gyled::sensors
