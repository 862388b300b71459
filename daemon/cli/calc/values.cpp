#include "daemon/cli/calc/values.hpp"

#include <fmt/format.h>

#include <array>
#include <chrono>
#include <cmath>
#include <optional>

#include "daemon/base/units.hpp"
#include "daemon/config/words.hpp"
#include "daemon/display/typed_value.hpp"

namespace gyled::cli::calc {

using base::Quantity;
using base::Result;
using base::Unexpected;
using display::Amount;
namespace {

constexpr double ms_per_minute = 60'000, metres_per_foot = 0.3048;

/// Canonical unit, and by what it is read when it is typed.
struct Row {
    Kind kind;
    std::string_view unit;
    std::optional<Quantity> quantity{};
    std::optional<Amount> amount{};
};
// clang-format off
constexpr std::array rows{
    Row{.kind = Kind::temperature,        .unit = "degC",     .quantity = Quantity::beer_temperature},
    Row{.kind = Kind::warming,            .unit = "degC"},
    Row{.kind = Kind::warming_per_minute, .unit = "degC/min"},
    Row{.kind = Kind::gravity,            .unit = "SG",       .quantity = Quantity::gravity},
    Row{.kind = Kind::extract,            .unit = "degP"},
    Row{.kind = Kind::head_pressure,      .unit = "kPa",      .quantity = Quantity::head_pressure},
    Row{.kind = Kind::rating, .unit = "kPa", .quantity = Quantity::head_pressure},
    Row{.kind = Kind::carbonation,        .unit = "vol",      .quantity = Quantity::co2_volumes},
    Row{.kind = Kind::volume,             .unit = "L",        .amount = Amount::volume},
    Row{.kind = Kind::mass,               .unit = "kg",       .amount = Amount::mass},
    Row{.kind = Kind::sugar_per_litre,    .unit = "g/L"},
    Row{.kind = Kind::power,              .unit = "kW",       .amount = Amount::power},
    Row{.kind = Kind::room,               .unit = "m3",       .amount = Amount::room},
    Row{.kind = Kind::gas_volume,         .unit = "L"},
    Row{.kind = Kind::elevation,          .unit = "m",        .amount = Amount::elevation},
    Row{.kind = Kind::length,             .unit = "m",        .amount = Amount::elevation},
    Row{.kind = Kind::percent,            .unit = "%",        .amount = Amount::percent},
    Row{.kind = Kind::alcohol,            .unit = "%"},
    Row{.kind = Kind::ppm,                .unit = "ppm"},
    Row{.kind = Kind::brix,               .unit = "Brix",     .amount = Amount::brix},
    Row{.kind = Kind::points,             .unit = "points",   .amount = Amount::points},
    Row{.kind = Kind::correction_factor,  .unit = "1",        .amount = Amount::correction_factor},
    Row{.kind = Kind::minutes,            .unit = "min"},
    Row{.kind = Kind::word,               .unit = ""},
};
// clang-format on
static_assert([] {
    for (std::size_t i = 0; i < rows.size(); ++i)
        if (rows[i].kind != static_cast<Kind>(i)) return false;
    return rows.size() == static_cast<std::size_t>(Kind::word) + 1;
}());

constexpr const Row& row_of(Kind kind) {
    return rows[static_cast<std::size_t>(kind)];
}

struct Shown {
    double number;
    std::string_view unit;
    int decimals;
};

Shown shown_as(Quantity quantity, double canonical, const Display& display) {
    return {display.shown(quantity, canonical), display.unit_text(quantity), display.decimals(quantity)};
}

Shown shown(Kind kind, double value, const Display& display) {
    constexpr double g_per_kg = 1000, light_kg = 1;
    const bool is_us = display.volume == display::VolumeUnit::us_gallon;
    switch (kind) {
        case Kind::temperature:
            return shown_as(Quantity::beer_temperature, value, display);
        case Kind::warming:
            return {display.span(Quantity::beer_temperature, value),
                    display.unit_text(Quantity::beer_temperature), 1};
        case Kind::warming_per_minute:
            return {display.span(Quantity::beer_temperature, value),
                    display.temperature == display::TemperatureUnit::fahrenheit ? "°F/min" : "°C/min", 2};
        case Kind::gravity:
            return shown_as(Quantity::gravity, value, display);
        case Kind::extract:
            return {value, "°P", 1};
        case Kind::head_pressure:
        case Kind::rating:
            return shown_as(Quantity::head_pressure, value, display);
        case Kind::carbonation:
            return shown_as(Quantity::co2_volumes, value, display);
        case Kind::volume:
            return is_us ? Shown{base::us_gallons_from_litres(value), "US gal", 2}
                         : Shown{value, "L", std::abs(value) < 1 ? 2 : 1};
        case Kind::mass:
            if (is_us) return {value / base::kg_per_pound, "lb", 2};
            return value < light_kg ? Shown{value * g_per_kg, "g", 0} : Shown{value, "kg", 2};
        case Kind::sugar_per_litre:
            return {value, "g/L", 1};
        case Kind::power:
            return {value, "kW", 2};
        case Kind::room:
            return {value, "m³", 1};
        case Kind::gas_volume:
            return {value, "L", 0};
        case Kind::elevation:
            return {value, "m", 0};
        case Kind::length:
            return is_us ? Shown{value / metres_per_foot, "ft", 1} : Shown{value, "m", 2};
        case Kind::percent:
            return {value, "%", 0};
        case Kind::alcohol:
            return {value, "%", 1};
        case Kind::ppm:
            return {std::round(value / 100) * 100, "ppm", 0};
        case Kind::brix:
            return {value, "°Bx", 1};
        case Kind::points:
            return {value, "points", 1};
        case Kind::minutes:
            return {value, "min", 0};
        case Kind::correction_factor:
        case Kind::word:
            break;
    }
    return {value, "", 2};
}

/// Fixed digits, and no minus before a zero.
std::string fixed(const Shown& shown) {
    const double ten = std::pow(10.0, shown.decimals);
    return fmt::format("{:.{}f}", std::round(shown.number * ten) / ten + 0.0, shown.decimals);
}

Result<double, std::string> minutes(std::string_view typed) {
    constexpr std::size_t longest = 40;
    if (typed.size() > longest)
        return Unexpected{std::string{"is no duration: write it as 45min, or 1h 30min."}};
    const auto duration = config::parse_duration(typed);
    if (!duration) return Unexpected{duration.error()};
    return static_cast<double>(duration->count()) / ms_per_minute;
}

Result<double, std::string> canonical(const Result<display::TypedValue, std::string>& typed) {
    if (!typed) return Unexpected{typed.error()};
    return typed->canonical;
}

}  // namespace

std::string_view unit(Kind kind) {
    return row_of(kind).unit;
}

Result<double, std::string> read(Kind kind, std::string_view typed, const Display& display) {
    if (kind == Kind::minutes) return minutes(typed);
    const Row& row = row_of(kind);
    if (row.quantity) {
        auto value = canonical(display::typed_value(typed, *row.quantity, display));
        if (kind == Kind::rating && value && *value <= 0)
            return Unexpected{std::string{"no part is rated for that."}};
        return value;
    }
    if (row.amount) return canonical(display::typed_amount(typed, *row.amount, display));
    return Unexpected{std::string{"is nothing that is typed."}};
}

std::string text(Kind kind, double value, const Display& display) {
    if (!std::isfinite(value)) return "unknown";
    if (kind == Kind::minutes)
        return display::duration_text(base::Duration{std::llround(value * ms_per_minute)});
    const Shown as = shown(kind, value, display);
    return fixed(as) + (as.unit.empty() ? "" : " ") + std::string{as.unit};
}

std::string interval_text(Kind kind, const base::Estimate& value, const Display& display) {
    if (kind == Kind::minutes)
        return text(kind, value.low, display) + " to " + text(kind, value.high, display);
    return fixed(shown(kind, value.low, display)) + " to " + fixed(shown(kind, value.high, display));
}

}  // namespace gyled::cli::calc
