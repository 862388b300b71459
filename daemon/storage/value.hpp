#pragma once
/// How one reading's value lies in the file: in few bytes, and yet the very same number.

#include <charconv>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string_view>
#include <system_error>

namespace gyled::storage {

/// The value in hundred-thousandths when dividing them by 1e5 gives exactly this value again. A sensor that
/// speaks in up to five decimals always does: both the text and the quotient are rounded to the nearest
/// double.
[[nodiscard]] inline std::optional<std::int64_t> in_hundred_thousandths(double value) {
    const double scaled = std::nearbyint(value * 1e5);
    if (!(std::abs(scaled) < 1e15) || scaled / 1e5 != value) return std::nullopt;
    return static_cast<std::int64_t>(scaled);
}

/// SQL for the number that a row of `reading` holds.
#define GYLED_READING_VALUE "CASE typeof(value) WHEN 'integer' THEN value / 1e5 ELSE value END"

/// A whole number as `memory` keeps it; nothing when the text is none.
[[nodiscard]] inline std::optional<std::int64_t> number_in(std::string_view text) {
    std::int64_t number = 0;
    const char* const end = text.data() + text.size();
    const auto [stopped, error] = std::from_chars(text.data(), end, number);
    return error == std::errc{} && stopped == end ? std::optional{number} : std::nullopt;
}

inline constexpr std::int64_t quarter_hour_ms = 900'000;

}  // namespace gyled::storage
