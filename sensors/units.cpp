#include "sensors/units.hpp"

#include <stdexcept>
#include <string>
#include <vector>

#include "daemon/brewing/extract.hpp"
#include "daemon/base/units.hpp"
#include "sensors/intake.hpp"

namespace gyled::sensors {
namespace {

using base::Quantity;

// The cubics behind Plato and Brix hold from -20 to 70 degrees. What lies outside is no wort, and stays
// visibly so: a straight line carries it on to a gravity that no range admits.
constexpr bool is_extract(double degrees) {
    return degrees > -20 && degrees < 70;
}
constexpr double beyond_extract(double degrees) {
    return 1.0 + 0.004 * degrees;
}

double gravity_from_plato(double plato) {
    return is_extract(plato) ? brewing::sg_from_plato(plato) : beyond_extract(plato);
}

/// Newton's method on the cubic; Plato differs so little from Brix that three steps from there reach the last
/// digit.
double gravity_from_brix(double brix) {
    if (!is_extract(brix)) return beyond_extract(brix);
    double sg = brewing::sg_from_plato(brix);
    for (int step = 0; step < 3; ++step) {
        const double slope = 1262.7794 - 2 * 775.68212 * sg + 3 * 182.46007 * sg * sg;
        sg -= (brewing::brix_from_sg(sg) - brix) / slope;
    }
    return sg;
}

double same(double x) {
    return x;
}

using enum Dimension;

// The first row of each dimension is its base. Greek omega and the ohm sign look alike and are two
// characters.
// clang-format off
constexpr Unit table[] = {
    {"degC",  temperature, same,                                           {"Cel", "°C", "℃", "C"}},
    {"degF",  temperature, base::celsius_from_fahrenheit,              {"[degF]", "°F", "℉", "F"}},
    {"K",     temperature, [](double x) { return x - base::zero_celsius_in_kelvin; },            {}},
    {"kPa",   pressure,    same,                                           {}},
    {"Pa",    pressure,    [](double x) { return x / 1000; },              {}},
    {"hPa",   pressure,    [](double x) { return x / 10; },                {}},
    {"mbar",  pressure,    [](double x) { return x / 10; },                {}},
    {"bar",   pressure,    base::kpa_from_bar,                         {}},
    {"psi",   pressure,    base::kpa_from_psi,                         {"[psi]", "PSI", "lbf/in2"}},
    {"SG",    gravity,     same,                                           {"sg", "1", "/"}},
    {"degP",  gravity,     gravity_from_plato,                             {"°P", "Plato", "plato"}},
    {"degBx", gravity,     gravity_from_brix,                              {"°Bx", "°Brix", "Brix", "Bx", "brix"}},
    {"V",     voltage,     same,                                           {}},
    {"mV",    voltage,     [](double x) { return x / 1000; },              {}},
    {"dBm",   signal,      same,                                           {}},
    {"dBW",   signal,      [](double x) { return x + 30; },                {}},
    {"%",     percent,     same,                                           {"/100"}},
    {"ohm",   resistance,  same,                                           {"Ohm", "\u03a9", "\u2126"}},
    {"kohm",  resistance,  [](double x) { return x * 1000; },              {"kOhm", "k\u03a9", "k\u2126"}},
};
// clang-format on

}  // namespace

std::span<const Unit> all_units() {
    return table;
}

Dimension dimension_of(Quantity q) {
    const std::string_view canonical = base::unit(q);
    for (const Unit& unit : table)
        if (unit.name == canonical) return unit.dimension;
    return Dimension::none;
}

const Unit* find_unit(Dimension dimension, std::string_view text) {
    for (const Unit& unit : table) {
        if (unit.dimension != dimension) continue;
        if (unit.name == text) return &unit;
        for (const std::string_view alias : unit.aliases)
            if (!alias.empty() && alias == text) return &unit;
    }
    return nullptr;
}

const Unit& base_unit(Dimension dimension) {
    for (const Unit& unit : table)
        if (unit.dimension == dimension) return unit;
    throw std::invalid_argument("this quantity has no unit a sensor could use");
}

bool unit_fits(Quantity q, std::string_view text) {
    return text.empty() || text == base::unit(q) || find_unit(dimension_of(q), text) != nullptr;
}

std::vector<std::string> units_for(Quantity q) {
    std::vector<std::string> names;
    for (const Unit& unit : table)
        if (unit.dimension == dimension_of(q)) names.emplace_back(unit.name);
    return names;
}

double to_canonical(Quantity q, std::string_view text, double value) {
    const Unit* unit = find_unit(dimension_of(q), text);
    return unit == nullptr ? value : unit->to_base(value);
}

}  // namespace gyled::sensors
