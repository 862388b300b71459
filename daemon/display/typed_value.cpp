#include "daemon/display/typed_value.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <span>

#include "daemon/base/stage.hpp"
#include "daemon/base/units.hpp"
#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/extract.hpp"
#include "daemon/brewing/plausible.hpp"

namespace gyled::display {
namespace {

using base::Band;
using base::Result;
using base::Unexpected;
using brewing::sg_from_plato;

/// What a hand instrument can show. Beyond it somebody mistyped, or meant another unit. Gravity and CO2:
/// brewing/plausible.hpp.
struct TypedRanges {
    Band bare_gravity{0.9, 1.2};    ///< a bare number here is SG, also for who prefers degrees Plato
    Band temperature_c{-30, 110};   ///< a glycol bath to a boil under slight pressure
    Band pressure_kpa{-100, 1000};  ///< gauge: a perfect vacuum to 10 bar, far above any vessel's rating
    Band absolute_kpa{50, 110};     ///< the air outside, from 5500 m to a high at sea level
    Band volume_l{0.1, 100'000};    ///< a test jar to a large tank
    Band mass_kg{0.0001, 100'000};  ///< a tenth of a gram to a silo's load
    Band power_kw{0.01, 1000};      ///< a camping burner to a brewery's boiler
    Band room_m3{0.5, 100'000};     ///< a cupboard to a hall
    Band elevation_m{-430, 5500};   ///< from the Dead Sea to the highest towns
    Band percent{0, 100};
    Band brix{0, 40};               ///< what a hand refractometer for wort shows
    Band gravity_points{0, 150};    ///< thousandths of SG
    Band brix_per_plato{0.9, 1.2};  ///< a wort correction factor; 1.04 is usual
};
constexpr TypedRanges ranges;

struct Unit {
    std::string_view typed;  ///< in lower case, without blanks and degree signs
    std::string_view shown;
    double (*canonical)(double);
};

constexpr double same(double value) {
    return value;
}

// clang-format off
constexpr std::array gravities{
    Unit{"sg", "SG", same},
    Unit{"p", "°P", sg_from_plato}, Unit{"plato", "°P", sg_from_plato}, Unit{"degp", "°P", sg_from_plato}};
constexpr std::array temperatures{
    Unit{"c", "°C", same}, Unit{"degc", "°C", same}, Unit{"celsius", "°C", same},
    Unit{"f", "°F", base::celsius_from_fahrenheit}, Unit{"degf", "°F", base::celsius_from_fahrenheit},
    Unit{"fahrenheit", "°F", base::celsius_from_fahrenheit}};
constexpr std::array pressures{
    Unit{"kpa", "kPa", same}, Unit{"bar", "bar", base::kpa_from_bar}, Unit{"psi", "psi", base::kpa_from_psi},
    Unit{"psig", "psi", base::kpa_from_psi}, Unit{"barg", "bar", base::kpa_from_bar}};
constexpr std::array carbonations{
    Unit{"vol", "vol", same}, Unit{"vols", "vol", same}, Unit{"volumes", "vol", same},
    Unit{"g/l", "g/L", brewing::volumes_from_co2_g_per_litre}};
constexpr std::array volumes{
    Unit{"l", "L", same}, Unit{"litre", "L", same}, Unit{"litres", "L", same}, Unit{"liters", "L", same},
    Unit{"gal", "US gal", base::litres_from_us_gallons}, Unit{"gallons", "US gal", base::litres_from_us_gallons}};
constexpr std::array masses{
    Unit{"kg", "kg", same}, Unit{"g", "g", [](double g) { return g / 1000; }},
    Unit{"lb", "lb", base::kg_from_pounds}, Unit{"lbs", "lb", base::kg_from_pounds},
    Unit{"oz", "oz", [](double oz) { return base::kg_from_pounds(oz / 16); }}};
constexpr std::array powers{Unit{"kw", "kW", same}, Unit{"w", "W", [](double w) { return w / 1000; }}};
constexpr std::array rooms{
    Unit{"m3", "m³", same}, Unit{"m\xB3", "m³", same},
    Unit{"ft3", "ft³", base::cubic_metres_from_cubic_feet}, Unit{"ft\xB3", "ft³", base::cubic_metres_from_cubic_feet}};
constexpr std::array lengths{Unit{"m", "m", same}, Unit{"ft", "ft", base::metres_from_feet}};
constexpr std::array percents{Unit{"%", "%", same}, Unit{"percent", "%", same}};
constexpr std::array brix_scales{Unit{"bx", "°Bx", same}, Unit{"brix", "°Bx", same}};
constexpr std::array points{Unit{"points", "points", same}, Unit{"point", "points", same}};
constexpr std::array bare{Unit{"", "", same}};
// clang-format on

/// What may be typed for one kind of value, and what it then must be.
struct Kind {
    std::string_view noun;
    std::span<const Unit> units;
    Band range;
};

std::string number_text(double value) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%.6g", value);
    return text.data();
}

/// Lower case, without blanks and degree signs (UTF-8: C2 B0).
std::string plain(std::string_view text) {
    std::string out;
    for (const char c : text)
        if (c != ' ' && c != '\t' && c != '\xC2' && c != '\xB0')
            out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return out;
}

struct Split {
    double number = 0;
    std::string unit;
};

std::optional<Split> split(std::string_view typed) {
    std::string text = plain(typed);
    if (!text.empty() && text.front() == '+') text.erase(0, 1);
    if (std::count(text.begin(), text.end(), ',') == 1 && text.find('.') == std::string::npos)
        std::replace(text.begin(), text.end(), ',', '.');
    Split split;
    const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), split.number);
    if (error != std::errc{} || !std::isfinite(split.number)) return std::nullopt;
    split.unit = text.substr(static_cast<std::size_t>(rest - text.data()));
    return split;
}

const Unit* unit_named(std::span<const Unit> units, std::string_view typed) {
    const auto found =
        std::find_if(units.begin(), units.end(), [&](const Unit& u) { return u.typed == typed; });
    return found == units.end() ? nullptr : &*found;
}
const Unit* unit_shown(std::span<const Unit> units, std::string_view shown) {
    const auto found =
        std::find_if(units.begin(), units.end(), [&](const Unit& u) { return u.shown == shown; });
    return found == units.end() ? nullptr : &*found;
}

std::string known_units(std::span<const Unit> units) {
    std::string list;
    for (const Unit& unit : units)
        if (&unit == unit_shown(units, unit.shown))  // the first of its name
            list.append(list.empty() ? "" : ", ").append(unit.shown);
    return list;
}

/// ", with or without a unit (kg, g, lb, oz)"; nothing where there is none.
std::string units_text(std::span<const Unit> units) {
    const std::string known = known_units(units);
    return known.empty() ? "" : ", with or without a unit (" + known + ")";
}

bool holds(Band band, double value) {
    return value >= band.low && value <= band.high;
}

/// ": did you mean 1.023?" for 1023 and for 23.
std::string likely_gravity(double typed) {
    const auto meant = brewing::likely_gravity(typed);
    if (!meant) return ".";
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), ": did you mean %.3f", meant->sg);
    return text.data() + (meant->may_be_plato ? ", or " + number_text(typed) + "P?" : std::string{"?"});
}

std::string likely(const Kind& kind, const Split& typed) {
    if (kind.units.data() == gravities.data() && (typed.unit.empty() || typed.unit == "sg"))
        return likely_gravity(typed.number);
    if (kind.units.data() == temperatures.data() && typed.unit != "f" &&
        holds(kind.range, base::celsius_from_fahrenheit(typed.number)))
        return ": did you mean " + number_text(typed.number) + "F?";
    return ".";
}

/// `own`: how a bare number is meant.
Result<TypedValue, std::string> read(std::string_view text, const Kind& kind, std::string_view own) {
    const auto typed = split(text);
    const std::string quoted = "'" + std::string{text.substr(0, 40)} + "'";
    if (!typed)
        return Unexpected{quoted + " is no " + std::string{kind.noun} + ": write a number" +
                          units_text(kind.units) + "."};
    const Unit* unit =
        typed->unit.empty() ? unit_shown(kind.units, own) : unit_named(kind.units, typed->unit);
    if (unit == nullptr && kind.units.data() == gravities.data() &&
        (typed->unit == "brix" || typed->unit == "bx"))
        return Unexpected{std::string{"Brix needs a correction once there is alcohol: write SG or °P."}};
    if (unit == nullptr)
        return Unexpected{quoted + ": the unit of a " + std::string{kind.noun} + " is " +
                          (known_units(kind.units).empty() ? "none" : "one of " + known_units(kind.units)) +
                          "."};
    const double canonical = unit->canonical(typed->number);
    if (!std::isfinite(canonical) || !holds(kind.range, canonical))
        return Unexpected{number_text(typed->number) + (unit->shown.empty() ? "" : " ") +
                          std::string{unit->shown} + " is no " + std::string{kind.noun} +
                          likely(kind, *typed)};
    return TypedValue{canonical, std::string{unit->shown}};
}

}  // namespace

Result<TypedValue, std::string> typed_value(std::string_view text, Quantity quantity,
                                            const Display& display) {
    const std::string_view own = display.unit_text(quantity);
    switch (quantity) {
        case Quantity::gravity:
        case Quantity::forced_final_gravity: {
            const auto typed = split(text);
            const bool is_sg = typed && (typed->number > 100 || holds(ranges.bare_gravity, typed->number));
            return read(text, {"gravity", gravities, brewing::plausible_gravity}, is_sg ? "SG" : own);
        }
        case Quantity::beer_temperature:
        case Quantity::jacket_temperature:
        case Quantity::room_temperature:
            return read(text, {"temperature", temperatures, ranges.temperature_c}, own);
        case Quantity::head_pressure:
        case Quantity::supply_pressure:
            return read(text, {"gauge pressure", pressures, ranges.pressure_kpa}, own);
        case Quantity::barometric_pressure:
            return read(text, {"air pressure", pressures, ranges.absolute_kpa}, own);
        case Quantity::co2_volumes:
            return read(text, {"carbonation", carbonations, brewing::plausible_co2_volumes}, own);
        default:
            return Unexpected{std::string{name(quantity)} + " is nothing that is measured by hand."};
    }
}

Result<TypedValue, std::string> typed_amount(std::string_view text, Amount amount, const Display& display) {
    const bool is_us = display.volume == VolumeUnit::us_gallon;
    switch (amount) {
        case Amount::volume:
            return read(text, {"volume", volumes, ranges.volume_l}, is_us ? "US gal" : "L");
        case Amount::mass:
            return read(text, {"mass", masses, ranges.mass_kg}, is_us ? "lb" : "kg");
        case Amount::power:
            return read(text, {"power", powers, ranges.power_kw}, "kW");
        case Amount::room:
            return read(text, {"room's volume", rooms, ranges.room_m3}, is_us ? "ft³" : "m³");
        case Amount::elevation:
            return read(text, {"elevation", lengths, ranges.elevation_m}, is_us ? "ft" : "m");
        case Amount::percent:
            return read(text, {"percentage", percents, ranges.percent}, "%");
        case Amount::brix:
            return read(text, {"refractometer reading", brix_scales, ranges.brix}, "°Bx");
        case Amount::points:
            return read(text, {"number of gravity points", points, ranges.gravity_points}, "points");
        case Amount::correction_factor:
            return read(text, {"wort correction factor", bare, ranges.brix_per_plato}, "");
    }
    return Unexpected{std::string{"is nothing that is typed."}};
}

}  // namespace gyled::display
