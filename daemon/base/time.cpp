#include "daemon/base/time.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

namespace gyled::base {
namespace {

/// Reads exactly `digits` decimal digits at the front of `text` and drops them. -1 when they are not there.
int take_number(std::string_view& text, std::size_t digits) {
    if (text.size() < digits) return -1;
    int value = 0;
    for (std::size_t i = 0; i < digits; ++i) {
        if (text[i] < '0' || text[i] > '9') return -1;
        value = value * 10 + (text[i] - '0');
    }
    text.remove_prefix(digits);
    return value;
}

bool take(std::string_view& text, std::string_view any_of) {
    if (text.empty() || any_of.find(text.front()) == std::string_view::npos) return false;
    text.remove_prefix(1);
    return true;
}

}  // namespace

Timestamp from_unix_seconds(double seconds) {
    constexpr double year_1 = -62'135'596'800.0;
    constexpr double year_10000 = 253'402'300'799.999;
    if (std::isnan(seconds)) return {};
    seconds = std::clamp(seconds, year_1, year_10000);
    return Timestamp{Duration{static_cast<long long>(std::llround(seconds * 1000.0))}};
}

std::string to_rfc3339(Timestamp t) {
    using namespace std::chrono;
    const auto day = floor<days>(t);
    const year_month_day date{day};
    const hh_mm_ss clock{t - day};
    std::array<char, 40> text{};
    const auto ms = static_cast<int>(clock.subseconds().count());
    const int n =
        std::snprintf(text.data(), text.size(), "%04d-%02u-%02uT%02d:%02d:%02d",
                      static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                      static_cast<unsigned>(date.day()), static_cast<int>(clock.hours().count()),
                      static_cast<int>(clock.minutes().count()), static_cast<int>(clock.seconds().count()));
    std::string out(text.data(), static_cast<std::size_t>(n));
    if (ms != 0) {
        std::array<char, 8> fraction{};
        std::snprintf(fraction.data(), fraction.size(), ".%03d", ms);
        out += fraction.data();
    }
    return out + 'Z';
}

std::optional<Timestamp> from_rfc3339(std::string_view text) {
    using namespace std::chrono;
    const int y = take_number(text, 4);
    if (y < 0 || !take(text, "-")) return std::nullopt;
    const int mo = take_number(text, 2);
    if (mo < 0 || !take(text, "-")) return std::nullopt;
    const int d = take_number(text, 2);
    if (d < 0 || !take(text, "Tt ")) return std::nullopt;
    const int h = take_number(text, 2);
    if (h < 0 || !take(text, ":")) return std::nullopt;
    const int mi = take_number(text, 2);
    if (mi < 0 || !take(text, ":")) return std::nullopt;
    const int s = take_number(text, 2);
    const year_month_day date{year{y}, month{static_cast<unsigned>(mo)}, day{static_cast<unsigned>(d)}};
    if (!date.ok() || h > 23 || mi > 59 || s < 0 || s > 60) return std::nullopt;
    double fraction = 0;
    if (take(text, ".,")) {
        double place = 0.1;
        if (text.empty() || text.front() < '0' || text.front() > '9') return std::nullopt;
        while (!text.empty() && text.front() >= '0' && text.front() <= '9') {
            fraction += place * (text.front() - '0');
            place /= 10;
            text.remove_prefix(1);
        }
    }
    int offset_minutes = 0;
    if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
        const int sign = text.front() == '-' ? -1 : 1;
        text.remove_prefix(1);
        const int oh = take_number(text, 2);
        if (oh < 0 || oh > 23 || !take(text, ":")) return std::nullopt;
        const int om = take_number(text, 2);
        if (om < 0 || om > 59) return std::nullopt;
        offset_minutes = sign * (oh * 60 + om);
    } else if (!take(text, "Zz")) {
        return std::nullopt;
    }
    if (!text.empty()) return std::nullopt;
    return Timestamp{sys_days{date} + std::chrono::hours{h} + minutes{mi - offset_minutes} + seconds{s} +
                     milliseconds{std::llround(fraction * 1000)}};
}

}  // namespace gyled::base
