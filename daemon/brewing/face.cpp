#include "daemon/brewing/face.hpp"

#include <date/tz.h>
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

#include "daemon/brewing/extract.hpp"
#include "daemon/brewing/units.hpp"

namespace gyled::brewing {
namespace {

/// What kind of number a quantity is, as far as the person's units go.
enum class Kind { temperature, pressure, gravity, gravity_rate, moment, other };

Kind kind_of(Quantity q) {
    if (is_moment(q)) return Kind::moment;
    const std::string_view canonical = unit(q);
    if (canonical == "degC") return Kind::temperature;
    if (canonical == "kPa") return Kind::pressure;
    if (canonical == "SG") return Kind::gravity;
    if (canonical == "SG/d") return Kind::gravity_rate;
    return Kind::other;
}

double in_unit(PressureUnit unit, double kpa) {
    switch (unit) {
        case PressureUnit::kilopascal:
            return kpa;
        case PressureUnit::bar:
            return bar_from_kpa(kpa);
        case PressureUnit::psi:
            return psi_from_kpa(kpa);
    }
    return kpa;
}

/// The steepness of Plato over SG at 1.020, in the middle of a fermentation; at its ends it differs by 5 %.
constexpr double plato_per_sg = 1111.14 + 1.020 * (-2.0 * 630.272 + 1.020 * 3.0 * 135.997);

std::string without_sign_of_zero(std::string number) {
    const bool is_zero = number.find_first_not_of("-0.") == std::string::npos;
    return is_zero && number.starts_with('-') ? number.substr(1) : number;
}

const date::time_zone* find_zone(const std::string& name) {
    try {
        return date::locate_zone(name);
    } catch (const std::exception&) {
        return nullptr;  // no such zone, or a machine without tzdata
    }
}

}  // namespace

Face Face::metric() {
    return {};
}

Face Face::us() {
    return {.temperature = TemperatureUnit::fahrenheit,
            .pressure = PressureUnit::psi,
            .gravity = GravityUnit::specific_gravity,
            .volume = VolumeUnit::us_gallon};
}

double Face::shown(Quantity q, double canonical) const {
    switch (kind_of(q)) {
        case Kind::temperature:
            return temperature == TemperatureUnit::fahrenheit ? fahrenheit_from_celsius(canonical)
                                                              : canonical;
        case Kind::pressure:
            return in_unit(pressure, canonical);
        case Kind::gravity:
            return gravity == GravityUnit::plato ? plato_from_sg(canonical) : canonical;
        case Kind::gravity_rate:
            return gravity == GravityUnit::plato ? canonical * plato_per_sg : canonical;
        case Kind::moment:
        case Kind::other:
            break;
    }
    return canonical;
}

std::string_view Face::unit_text(Quantity q) const {
    switch (kind_of(q)) {
        case Kind::temperature:
            return temperature == TemperatureUnit::fahrenheit ? "°F" : "°C";
        case Kind::pressure:
            if (pressure == PressureUnit::bar) return "bar";
            return pressure == PressureUnit::psi ? "psi" : "kPa";
        case Kind::gravity:
            return gravity == GravityUnit::plato ? "°P" : "SG";
        case Kind::gravity_rate:
            return gravity == GravityUnit::plato ? "°P/d" : "SG/d";
        case Kind::moment:
            return "";
        case Kind::other:
            break;
    }
    return unit(q);
}

int Face::decimals(Quantity q) const {
    switch (kind_of(q)) {
        case Kind::temperature:
            return 1;
        case Kind::pressure:
            return pressure == PressureUnit::bar ? 2 : 1;
        case Kind::gravity:
            return gravity == GravityUnit::plato ? 1 : 3;
        case Kind::gravity_rate:
            return gravity == GravityUnit::plato ? 2 : 4;
        case Kind::moment:
            return 0;
        case Kind::other:
            break;
    }
    if (q == Quantity::alcohol_by_volume) return 1;
    return unit(q) == "vol" || unit(q) == "V" ? 2 : 0;
}

std::string Face::text(Quantity q, double canonical) const {
    if (std::isnan(canonical)) return "unknown";
    if (is_moment(q)) {
        if (std::isinf(canonical)) return canonical > 0 ? "no end in sight" : "unknown";
        return local(from_unix_seconds(canonical));
    }
    return without_sign_of_zero(fmt::format("{:.{}f}", shown(q, canonical), decimals(q))) + ' ' +
           std::string(unit_text(q));
}

std::string Face::local(Timestamp t) const {
    const date::time_zone* zone = find_zone(time_zone);
    const auto seconds = std::chrono::floor<std::chrono::seconds>(t);
    const auto wall =
        zone == nullptr ? date::local_seconds{seconds.time_since_epoch()} : zone->to_local(seconds);
    const date::year_month_day day{date::floor<date::days>(wall)};
    return date::format("%a ", wall) + std::to_string(static_cast<unsigned>(day.day())) +
           date::format(" %b %H:%M", wall) + (zone == nullptr ? " UTC" : "");
}

std::string duration_text(Duration d) {
    const long long s = std::llabs(std::chrono::round<std::chrono::seconds>(d).count());
    const std::string sign = d.count() < 0 && s != 0 ? "-" : "";
    if (s < 60) return fmt::format("{}{} s", sign, s);
    const long long minutes = (s + 30) / 60;
    const auto two = [&sign](long long big, const char* big_unit, long long small, const char* small_unit) {
        if (small == 0) return fmt::format("{}{} {}", sign, big, big_unit);
        return fmt::format("{}{} {} {} {}", sign, big, big_unit, small, small_unit);
    };
    if (minutes < 60) return fmt::format("{}{} min", sign, minutes);
    if (minutes < 24 * 60) return two(minutes / 60, "h", minutes % 60, "min");
    const long long whole_hours = (s + 1800) / 3600;
    return two(whole_hours / 24, "d", whole_hours % 24, "h");
}

bool time_zone_known(const std::string& name) {
    return find_zone(name) != nullptr;
}

}  // namespace gyled::brewing
