#pragma once
/// Moments and spans. The core never asks a clock: time comes in as an argument, UTC, in milliseconds.

#include <algorithm>
#include <chrono>
#include <optional>
#include <string>
#include <string_view>

namespace gyled::base {

using Duration = std::chrono::milliseconds;
using Timestamp = std::chrono::sys_time<Duration>;  ///< UTC; leap seconds ignored, as in Unix time

/// The moment `seconds` (may be fractional) after 1970-01-01T00:00:00Z, rounded to the millisecond.
/// Kept within the years 1 to 9999, which RFC 3339 can write; a NaN gives 1970.
[[nodiscard]] Timestamp from_unix_seconds(double seconds);
/// Seconds since 1970-01-01T00:00:00Z. Exact to the millisecond until far beyond our lifetimes.
[[nodiscard]] constexpr double unix_seconds(Timestamp t) {
    return static_cast<double>(t.time_since_epoch().count()) / 1000.0;
}
[[nodiscard]] constexpr double hours_between(Timestamp from, Timestamp to) {
    return static_cast<double>((to - from).count()) / 3'600'000.0;
}
/// Whole milliseconds of so many hours; kept within a million years, a NaN gives none.
[[nodiscard]] constexpr Duration hours(double h) {
    constexpr double most = 8.766e9;
    const double kept = h == h ? std::clamp(h, -most, most) : 0.0;
    return Duration{static_cast<long long>(kept * 3'600'000.0)};
}

/// RFC 3339 in UTC with second resolution, as in "2026-03-02T07:15:00Z"; milliseconds are printed when not
/// zero.
[[nodiscard]] std::string to_rfc3339(Timestamp t);
/// Reads RFC 3339 with Z or an offset, seconds optionally fractional. Nothing when it is not one.
[[nodiscard]] std::optional<Timestamp> from_rfc3339(std::string_view text);

}  // namespace gyled::base
