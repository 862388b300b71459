#pragma once
/// The simplest payload: a bare decimal number, perhaps with its unit behind it: `19.4`, ` 19.4 degC\n`,
/// `1.0e5 Pa`.

#include "sensors/decode/sample.hpp"

namespace gyled::sensors {

/// Reads a whole payload. Reasons: too_long, empty_payload, not_utf8, and those of `read_number`.
[[nodiscard]] Decoded decode_number(std::string_view payload);

/// Reads text known to be UTF-8, such as a string inside a JSON document. The decimal sign is a point,
/// whatever the locale. Reasons: empty_payload, unavailable ("unavailable", "unknown", "none", "n/a"),
/// null_value ("null"), not_finite (NaN, infinity, beyond what a double holds), not_a_number.
[[nodiscard]] Decoded read_number(std::string_view text);

}  // namespace gyled::sensors
