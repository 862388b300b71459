#include "daemon/display/typed_moment.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "daemon/zone/zone.hpp"

namespace gyled::display {
namespace {

using namespace std::chrono_literals;

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(' ');
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

/// A whole number of at most four digits at the head, taken off.
std::optional<int> number(std::string_view& text) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const auto digits = static_cast<std::size_t>(end - text.data());
    if (error != std::errc{} || value < 0 || digits > 4 || text.front() == '-') return std::nullopt;
    text.remove_prefix(digits);
    return value;
}

bool take(std::string_view& text, std::string_view head) {
    if (!text.starts_with(head)) return false;
    text.remove_prefix(head.size());
    return true;
}

struct Unit {
    std::string_view name;
    Duration length;
};
constexpr std::array units{Unit{"min", 1min}, Unit{"d", 24h}, Unit{"h", 1h}, Unit{"s", 1s}};

/// "1h30min", "20 min".
std::optional<Duration> span(std::string_view text) {
    Duration sum{};
    while (!text.empty()) {
        const auto count = number(text);
        text = trimmed(text);
        const auto unit =
            std::find_if(units.begin(), units.end(), [&](const Unit& one) { return take(text, one.name); });
        if (!count || unit == units.end()) return std::nullopt;
        sum += *count * unit->length;
        text = trimmed(text);
    }
    return sum;
}

std::optional<Duration> ago(std::string_view text) {
    constexpr std::string_view word = "ago";
    if (!text.ends_with(word)) return std::nullopt;
    text.remove_suffix(word.size());
    text = trimmed(text);
    return text.empty() ? std::nullopt : span(text);
}

/// "10:42" as minutes of the day.
std::optional<Duration> of_the_day(std::string_view text) {
    const auto hour = number(text);
    if (!hour || !take(text, ":") || text.size() != 2) return std::nullopt;
    const auto minute = number(text);
    if (!minute || !text.empty() || *hour > 23 || *minute > 59) return std::nullopt;
    return *hour * 1h + *minute * 1min;
}

Timestamp latest(Duration of_day, const Display& display, Timestamp now) {
    const std::string zone = time_zone_known(display.time_zone) ? display.time_zone : "UTC";
    const auto today = std::chrono::floor<std::chrono::days>(zone::shown_at(now, zone));
    const Timestamp at = zone::moment_of(today + of_day, zone, now);
    return at <= now ? at : zone::moment_of(today - std::chrono::days{1} + of_day, zone, now);
}

}  // namespace

base::Result<Timestamp, std::string> typed_moment(std::string_view text, const Display& display,
                                                  Timestamp now) {
    text = trimmed(text);
    if (text == "now") return now;
    if (const auto full = base::from_rfc3339(text)) return *full;
    if (const auto before = ago(text)) return now - *before;
    if (const auto clock = of_the_day(text)) return latest(*clock, display, now);
    return base::Unexpected{fmt::format("'{}' is no moment: write 10:42, \"20min ago\", or RFC 3339 as {}",
                                        text.substr(0, 40), base::to_rfc3339(now))};
}

}  // namespace gyled::display
