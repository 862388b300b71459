#include "daemon/annunciation/quiet_hours.hpp"

#include <stdexcept>

#include "daemon/zone/zone.hpp"

namespace gyled::annunciation {
namespace {

constexpr int minutes_a_day = 24 * 60;

int digit(char c) {
    return c >= '0' && c <= '9' ? c - '0' : minutes_a_day;  // makes any sum too large
}

/// "22:30"
std::optional<int> minute_of_day(std::string_view text) {
    if (text.size() != 5 || text[2] != ':') return std::nullopt;
    const int hours = 10 * digit(text[0]) + digit(text[1]), minutes = 10 * digit(text[3]) + digit(text[4]);
    if (hours > 23 || minutes > 59) return std::nullopt;
    return 60 * hours + minutes;
}

int minute_shown(base::Timestamp t, const std::string& time_zone) {
    zone::LocalTime local{t.time_since_epoch()};
    try {
        local = zone::shown_at(t, time_zone);
    } catch (const std::runtime_error&) {  // as the display does: UTC
    }
    const auto since_midnight = local - std::chrono::floor<std::chrono::days>(local);
    return static_cast<int>(std::chrono::floor<std::chrono::minutes>(since_midnight).count());
}

}  // namespace

std::optional<QuietHours> quiet_hours(std::string_view text) {
    if (text.size() != 11 || text[5] != '-') return std::nullopt;
    const auto from = minute_of_day(text.substr(0, 5)), to = minute_of_day(text.substr(6));
    if (!from || !to || from == to) return std::nullopt;
    return QuietHours{*from, *to};
}

bool is_quiet(const QuietHours& hours, base::Timestamp t, const display::Display& display) {
    const int now = minute_shown(t, display.time_zone);
    if (hours.from <= hours.to) return now >= hours.from && now < hours.to;
    return now >= hours.from || now < hours.to;
}

}  // namespace gyled::annunciation
