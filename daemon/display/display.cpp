#include "daemon/display/display.hpp"

#include <array>
#include <cmath>
#include <cstdio>
#include <stdexcept>

#include "daemon/base/units.hpp"
#include "daemon/brewing/extract.hpp"
#include "daemon/zone/zone.hpp"

namespace gyled::display {

using base::bar_from_kpa;
using base::fahrenheit_from_celsius;
using base::from_unix_seconds;
using base::psi_from_kpa;
using brewing::plato_from_sg;
namespace {

enum class Kind {
    temperature,
    pressure,
    gravity,
    gravity_rate,
    volumes,
    percent,
    millilitre,
    litre,
    count,
    volt,
    decibel,
    moment
};

Kind kind_of(Quantity q) {
    switch (q) {
        case Quantity::beer_temperature:
        case Quantity::jacket_temperature:
        case Quantity::room_temperature:
            return Kind::temperature;
        case Quantity::head_pressure:
        case Quantity::barometric_pressure:
        case Quantity::supply_pressure:
        case Quantity::pressure_headroom:
        case Quantity::warm_pressure:
        case Quantity::crash_pressure:
        case Quantity::closed_pressure:
            return Kind::pressure;
        case Quantity::gravity:
        case Quantity::gravity_now:
        case Quantity::final_gravity:
        case Quantity::closing_gravity:
        case Quantity::forced_final_gravity:
            return Kind::gravity;
        case Quantity::gravity_rate:
            return Kind::gravity_rate;
        case Quantity::co2_volumes:
        case Quantity::co2_equilibrium_volumes:
        case Quantity::residual_co2_potential:
            return Kind::volumes;
        case Quantity::apparent_attenuation:
        case Quantity::real_attenuation:
        case Quantity::alcohol_by_volume:
        case Quantity::head_space_air:
            return Kind::percent;
        case Quantity::head_space_oxygen:
            return Kind::millilitre;
        case Quantity::heated_volume:
            return Kind::litre;
        case Quantity::purge_cycles:
            return Kind::count;
        case Quantity::battery_voltage:
            return Kind::volt;
        case Quantity::signal_strength:
            return Kind::decibel;
        case Quantity::finish_time:
        case Quantity::carbonated_time:
        case Quantity::limit_time:
        case Quantity::ready_time:
            return Kind::moment;
    }
    return Kind::moment;
}

double in_pressure_unit(PressureUnit unit, double kpa) {
    switch (unit) {
        case PressureUnit::bar:
            return bar_from_kpa(kpa);
        case PressureUnit::psi:
            return psi_from_kpa(kpa);
        case PressureUnit::kilopascal:
            break;
    }
    return kpa;
}

/// Fixed digits, and no minus before a zero.
std::string fixed(double value, int digits) {
    std::array<char, 400> text{};
    std::snprintf(text.data(), text.size(), "%.*f", digits, value);
    std::string out = text.data();
    if (out.find_first_not_of("-0.") == std::string::npos && out.front() == '-') out.erase(0, 1);
    return out;
}

std::string clock_text(zone::LocalTime t) {
    static constexpr std::array days{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
    static constexpr std::array months{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                       "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const auto day = std::chrono::floor<std::chrono::days>(t);
    const std::chrono::year_month_day calendar{day};
    const std::chrono::hh_mm_ss clock{t - day};
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%s %u %s %02d:%02d",
                  days[std::chrono::weekday{day}.c_encoding()], static_cast<unsigned>(calendar.day()),
                  months[static_cast<unsigned>(calendar.month()) - 1],
                  static_cast<int>(clock.hours().count()), static_cast<int>(clock.minutes().count()));
    return text.data();
}

}  // namespace

Display Display::metric() {
    return {};
}

Display Display::us() {
    return {.temperature = TemperatureUnit::fahrenheit,
            .pressure = PressureUnit::psi,
            .gravity = GravityUnit::specific_gravity,
            .volume = VolumeUnit::us_gallon};
}

double Display::shown(Quantity q, double canonical) const {
    switch (kind_of(q)) {
        case Kind::temperature:
            return temperature == TemperatureUnit::fahrenheit ? fahrenheit_from_celsius(canonical)
                                                              : canonical;
        case Kind::gravity:
            return gravity == GravityUnit::plato ? plato_from_sg(canonical) : canonical;
        case Kind::pressure:
            return in_pressure_unit(pressure, canonical);
        case Kind::gravity_rate:
            return span(Quantity::gravity, canonical);
        default:
            return canonical;
    }
}

double Display::span(Quantity q, double canonical_difference) const {
    // The slope of the Plato scale at SG 1.020, the middle of a fermentation: degrees Plato per SG.
    static constexpr double plato_per_sg = (plato_from_sg(1.021) - plato_from_sg(1.019)) / 0.002;
    switch (kind_of(q)) {
        case Kind::temperature:
            return temperature == TemperatureUnit::fahrenheit ? canonical_difference * 1.8
                                                              : canonical_difference;
        case Kind::gravity:
        case Kind::gravity_rate:
            return gravity == GravityUnit::plato ? canonical_difference * plato_per_sg : canonical_difference;
        default:
            return shown(q, canonical_difference);
    }
}

std::string_view Display::unit_text(Quantity q) const {
    switch (kind_of(q)) {
        case Kind::temperature:
            return temperature == TemperatureUnit::fahrenheit ? "°F" : "°C";
        case Kind::pressure:
            if (pressure == PressureUnit::psi) return "psi";
            return pressure == PressureUnit::bar ? "bar" : "kPa";
        case Kind::gravity:
            return gravity == GravityUnit::plato ? "°P" : "SG";
        case Kind::gravity_rate:
            return gravity == GravityUnit::plato ? "°P/d" : "SG/d";
        case Kind::volumes:
            return "vol";
        case Kind::percent:
            return "%";
        case Kind::millilitre:
            return "mL";
        case Kind::litre:
            return "L";
        case Kind::count:
            return "times";
        case Kind::volt:
            return "V";
        case Kind::decibel:
            return "dBm";
        case Kind::moment:
            break;
    }
    return {};
}

int Display::decimals(Quantity q) const {
    switch (kind_of(q)) {
        case Kind::temperature:
            return 1;
        case Kind::pressure:
            if (pressure != PressureUnit::bar) return 1;
            return q == Quantity::barometric_pressure ? 3 : 2;
        case Kind::gravity: {
            const int finer = q == Quantity::closing_gravity ? 1 : 0;  // half a point is 24 kPa
            return finer + (gravity == GravityUnit::plato ? 1 : 3);
        }
        case Kind::gravity_rate:
            return gravity == GravityUnit::plato ? 2 : 4;
        case Kind::volumes:
        case Kind::volt:
            return 2;
        case Kind::percent:
            return q == Quantity::alcohol_by_volume ? 1 : 0;
        case Kind::litre:
            return 1;
        case Kind::millilitre:
        case Kind::count:
        case Kind::decibel:
        case Kind::moment:
            break;
    }
    return 0;
}

std::string Display::text(Quantity q, double canonical) const {
    if (std::isnan(canonical)) return "unknown";
    if (is_moment(q)) {
        // Beyond the year 9999 a moment is no news, and its text would be none either.
        if (std::abs(canonical) > 253402300799.0) return canonical > 0 ? "no end in sight" : "past";
        return local(from_unix_seconds(canonical));
    }
    return fixed(shown(q, canonical), decimals(q)) + " " + std::string(unit_text(q));
}

std::string Display::local(Timestamp t) const {
    try {
        return clock_text(zone::shown_at(t, time_zone));
    } catch (const std::runtime_error&) {
        return clock_text(zone::LocalTime{t.time_since_epoch()}) + " UTC";
    }
}

std::string duration_text(Duration d) {
    using namespace std::chrono;
    if (d < Duration::zero()) return (d > -seconds{1} ? "" : "-") + duration_text(-d);
    const auto whole_seconds = floor<seconds>(d).count();
    const auto with = [](long long big, const char* big_unit, long long small, const char* small_unit) {
        std::string out = std::to_string(big) + big_unit;
        if (small != 0) out += " " + std::to_string(small) + small_unit;
        return out;
    };
    if (whole_seconds < 60) return std::to_string(whole_seconds) + " s";
    if (whole_seconds < 3600) return with(whole_seconds / 60, " min", 0, "");
    if (whole_seconds < 86400) return with(whole_seconds / 3600, " h", whole_seconds / 60 % 60, " min");
    return with(whole_seconds / 86400, " d", whole_seconds / 3600 % 24, " h");
}

bool time_zone_known(const std::string& name) {
    return zone::known(name);
}

}  // namespace gyled::display
