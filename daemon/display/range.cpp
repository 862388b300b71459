#include "daemon/display/range.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "daemon/zone/zone.hpp"

namespace gyled::display {
namespace {

using std::chrono::days;
using std::chrono::hours;

constexpr double parts_until_h = 60;
constexpr double never_h = 24.0 * 60;

zone::LocalTime local_time(const Display& display, Timestamp t) {
    try {
        return zone::shown_at(t, display.time_zone);
    } catch (const std::runtime_error&) {
        return zone::LocalTime{t.time_since_epoch()};
    }
}

/// A night belongs to the day on which it begins.
struct PartOfDay {
    std::chrono::local_days day;
    const char* part;
};
PartOfDay part_of(zone::LocalTime t) {
    struct From {
        int hour;
        const char* part;
    };
    static constexpr std::array parts{From{22, "night"}, From{18, "evening"}, From{12, "afternoon"},
                                      From{5, "morning"}};
    const auto day = std::chrono::floor<days>(t);
    const auto clock = std::chrono::floor<hours>(t - day).count();
    for (const From& from : parts)
        if (clock >= from.hour) return {day, from.part};
    return {day - days{1}, "night"};
}

std::string day_text(std::chrono::local_days day, std::chrono::local_days today) {
    static constexpr std::array names{"Sunday",   "Monday", "Tuesday", "Wednesday",
                                      "Thursday", "Friday", "Saturday"};
    static constexpr std::array months{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                       "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    std::string name = names[std::chrono::weekday{day}.c_encoding()];
    if (day > today - days{7} && day < today + days{7}) return name;
    const std::chrono::year_month_day calendar{day};
    return fmt::format("{} {} {}", name.substr(0, 3), static_cast<unsigned>(calendar.day()),
                       months[static_cast<unsigned>(calendar.month()) - 1]);
}

}  // namespace

std::string range_text(const Display& display, double low, double high, Timestamp now) {
    const double now_s = base::unix_seconds(now);
    const bool ends = high < now_s + 3600 * never_h;
    const bool has_parts = ends && high - low <= 3600 * parts_until_h;
    const auto today = std::chrono::floor<days>(local_time(display, now));
    const auto text = [&](double seconds) {
        const auto moment = local_time(display, base::from_unix_seconds(seconds));
        if (!has_parts) return day_text(std::chrono::floor<days>(moment), today);
        const PartOfDay part = part_of(moment);
        return day_text(part.day, today) + " " + part.part;
    };
    const std::string from = text(std::clamp(low, now_s - 3600 * never_h, now_s + 3600 * never_h));
    if (!ends) return "from " + from + " on";
    const std::string to = text(high);
    return from == to ? from : from + " to " + to;
}

}  // namespace gyled::display
