#include "daemon/display/coming_moment.hpp"

#include <array>
#include <charconv>
#include <optional>

#include "daemon/zone/zone.hpp"

namespace gyled::display {
namespace {

using namespace std::chrono_literals;
using std::chrono::days;

constexpr std::array<std::string_view, 7> day_names{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
constexpr long year_days = 366;

std::optional<int> number(std::string_view text) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || value < 0 || text.front() == '-')
        return std::nullopt;
    return value;
}

std::optional<Duration> of_day(std::string_view text) {
    const auto colon = text.find(':');
    if (colon == std::string_view::npos || text.size() != colon + 3) return std::nullopt;
    const auto hour = number(text.substr(0, colon)), minute = number(text.substr(colon + 1));
    if (!hour || !minute || *hour > 23 || *minute > 59) return std::nullopt;
    return *hour * 1h + *minute * 1min;
}

/// The day's name at the head, taken off.
std::optional<unsigned> day_of_week(std::string_view& text) {
    for (unsigned i = 0; i < day_names.size(); ++i) {
        if (!text.starts_with(day_names[i])) continue;
        text.remove_prefix(day_names[i].size());
        while (text.starts_with(' ')) text.remove_prefix(1);
        return i;
    }
    return std::nullopt;
}

/// The next one after `now` at which clocks show this, and on that day.
std::optional<Timestamp> next(std::optional<unsigned> weekday, Duration clock, const Display& display,
                              Timestamp now) {
    const std::string zone = time_zone_known(display.time_zone) ? display.time_zone : "UTC";
    const auto today = std::chrono::floor<days>(zone::shown_at(now, zone));
    for (int ahead = 0; ahead <= 8; ++ahead) {
        const auto day = today + days{ahead};
        if (weekday && std::chrono::weekday{day}.c_encoding() != *weekday) continue;
        const Timestamp at = zone::moment_of(day + clock, zone, Timestamp::max());
        if (at > now) return at;
    }
    return std::nullopt;
}

}  // namespace

std::optional<Duration> typed_span(std::string_view text) {
    const auto digits = text.find_first_not_of("0123456789");
    if (digits == 0 || digits == std::string_view::npos) return std::nullopt;
    const auto count = number(text.substr(0, digits));
    const std::string_view unit = text.substr(digits);
    if (!count) return std::nullopt;
    const Duration one = unit == "min" ? Duration{1min}
                         : unit == "h" ? Duration{1h}
                         : unit == "d" ? Duration{24h}
                                       : Duration{};
    if (one == Duration{} || *count > year_days * 24h / one) return std::nullopt;
    return *count * one;
}

base::Result<Timestamp, std::string> coming_moment(std::string_view text, const Display& display,
                                                   Timestamp now) {
    if (text == "now") return now;
    if (const auto full = base::from_rfc3339(text)) return *full;
    if (text.starts_with('+'))
        if (const auto ahead = typed_span(text.substr(1))) return now + *ahead;
    std::string_view rest = text;
    const auto weekday = day_of_week(rest);
    if (const auto clock = of_day(rest))
        if (const auto at = next(weekday, *clock, display, now)) return *at;
    return base::Unexpected{"'" + std::string{text.substr(0, 40)} +
                            "' is no moment to come: write now, +6h, 20:00, Fri20:00, or RFC 3339 as " +
                            base::to_rfc3339(now)};
}

}  // namespace gyled::display
