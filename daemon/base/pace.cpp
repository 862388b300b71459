#include "daemon/base/pace.hpp"

#include <charconv>
#include <optional>
#include <utility>

namespace gyled::base {
namespace {

constexpr double speed_max = 100'000;
constexpr double ms_per_hour = 3'600'000;
constexpr double hours_max = 24.0 * 365;

std::optional<double> number(std::string_view text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc{} && end == text.data() + text.size() ? std::optional{value} : std::nullopt;
}

std::optional<double> speed_of(std::string_view text) {
    const auto speed = number(text);
    return speed && *speed >= 1 && *speed <= speed_max ? speed : std::nullopt;
}

/// What stands before the mark, taken off with it; all of it where there is none.
std::string_view head(std::string_view& text, char mark) {
    const auto at = text.find(mark);
    const std::string_view out = text.substr(0, at);
    text = at == std::string_view::npos ? std::string_view{} : text.substr(at + 1);
    return out;
}

Unexpected<std::string> refused(std::string_view what) {
    return Unexpected{"'" + std::string{what.substr(0, 60)} +
                      "' is no pace such as 60, 60,5.25h:4000 or 60@2026-03-01T08:00:00Z"};
}

}  // namespace

Result<Pace, std::string> Pace::from(std::string_view text, Timestamp now) {
    const std::string_view whole = text;
    Pace pace;
    std::string_view legs = head(text, '@');
    const bool says_when = legs.size() < whole.size();
    const auto origin = says_when ? from_rfc3339(text) : std::optional{now};
    const auto first = speed_of(head(legs, ','));
    if (!origin || !first) return refused(whole);
    pace.origin_ = *origin;
    pace.legs_.push_back({Duration{}, *first});
    if (whole.substr(0, whole.find('@')).ends_with(',')) return refused(whole);
    while (!legs.empty()) {
        std::string_view leg = head(legs, ',');
        const auto hours = number(head(leg, 'h'));
        const bool is_next = hours && *hours <= hours_max && leg.starts_with(':') &&
                             *hours * ms_per_hour > static_cast<double>(pace.legs_.back().from.count());
        const auto speed = is_next ? speed_of(leg.substr(1)) : std::nullopt;
        if (!speed) return refused(whole);
        pace.legs_.push_back({Duration{static_cast<Duration::rep>(*hours * ms_per_hour)}, *speed});
    }
    return pace;
}

Timestamp Pace::at(Timestamp wall) const {
    double left = static_cast<double>((wall - origin_).count());
    if (left <= 0) return wall;
    Timestamp out = origin_;
    for (std::size_t i = 0; i < legs_.size(); ++i) {
        const bool is_last = i + 1 == legs_.size();
        const double lives = left * legs_[i].speed;
        const double length =
            is_last ? lives : static_cast<double>((legs_[i + 1].from - legs_[i].from).count());
        if (lives <= length) return out + Duration{static_cast<Duration::rep>(lives)};
        out += legs_[i + 1].from - legs_[i].from;
        left -= length / legs_[i].speed;
    }
    return out;
}

Clock hurried(const Clock& real, const Pace& pace) {
    return Clock{[wall = real.wall, pace] { return pace.at(wall()); }};
}

}  // namespace gyled::base
