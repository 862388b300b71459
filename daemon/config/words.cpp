#include "daemon/config/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numeric>
#include <optional>

namespace gyled::config {
namespace {

using base::Unexpected;

/// How many letters must be added, dropped, changed or swapped with their neighbour to get from one word to
/// the other: the optimal string alignment distance.
std::size_t distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before_last(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
    std::iota(last.begin(), last.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U)});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = std::min(row[j], before_last[j - 2] + 1);
        }
        before_last.swap(last);
        last.swap(row);
    }
    return last[b.size()];
}

struct TimeUnit {
    std::string_view name;
    double milliseconds;
};
constexpr std::array time_units{TimeUnit{"ms", 1}, TimeUnit{"s", 1000}, TimeUnit{"min", 60'000},
                                TimeUnit{"h", 3'600'000}, TimeUnit{"d", 86'400'000}};
constexpr double longest_ms = 1000.0 * 365 * 86'400'000;  // a thousand years

std::optional<double> milliseconds_of(std::string_view unit) {
    for (const TimeUnit& known : time_units)
        if (known.name == unit) return known.milliseconds;
    return std::nullopt;
}

bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

void skip_spaces(std::string_view& text) {
    while (text.starts_with(' ')) text.remove_prefix(1);
}

}  // namespace

std::string hint(std::string_view word, const Words& candidates) {
    const std::string_view* nearest = nullptr;
    std::size_t nearest_distance = std::max<std::size_t>(word.size() / 3, 1) + 1;
    if (word.size() <= 64)
        for (const std::string_view& candidate : candidates)
            if (const std::size_t d = distance(word, candidate); d < nearest_distance) {
                nearest = &candidate;
                nearest_distance = d;
            }
    if (nearest != nullptr) return fmt::format("; did you mean '{}'?", *nearest);
    if (candidates.empty() || candidates.size() > 12) return {};
    return fmt::format("; known: {}", fmt::join(candidates, ", "));
}

base::Result<Duration, std::string> parse_duration(std::string_view text) {
    const std::string_view whole = text;
    double milliseconds = 0;
    skip_spaces(text);
    if (text.empty()) return Unexpected{std::string{"a duration is a number with a unit, as \"45min\""}};
    while (!text.empty()) {
        double number = 0;
        const auto [stopped, error] = std::from_chars(text.data(), text.data() + text.size(), number);
        if (error != std::errc{} || !std::isfinite(number) || number < 0)
            return Unexpected{
                fmt::format("'{}' is not a duration; write a number with a unit, as \"45min\"", whole)};
        text.remove_prefix(static_cast<std::size_t>(stopped - text.data()));
        skip_spaces(text);
        const auto letters =
            static_cast<std::size_t>(std::find_if_not(text.begin(), text.end(), is_letter) - text.begin());
        const std::string_view unit = text.substr(0, letters);
        const std::optional<double> factor = milliseconds_of(unit);
        if (unit.empty())
            return Unexpected{
                fmt::format("'{}' has no unit; write ms, s, min, h or d behind the number", whole)};
        if (unit == "m") return Unexpected{fmt::format("'{}': write min for minutes", whole)};
        if (!factor)
            return Unexpected{fmt::format("'{}': unknown unit '{}'; known: ms, s, min, h, d", whole, unit)};
        milliseconds += number * *factor;
        text.remove_prefix(letters);
        skip_spaces(text);
    }
    if (milliseconds > longest_ms)
        return Unexpected{fmt::format("'{}' is longer than a thousand years", whole)};
    return Duration{std::llround(milliseconds)};
}

}  // namespace gyled::config
