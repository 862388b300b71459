/// The unit table against the definitions of its units and the published tables behind Plato and Brix.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "sensors/intake.hpp"
#include "sensors/units.hpp"

namespace {

using namespace gyled::sensors;

struct Row {
    Quantity quantity;
    const char* unit;
    double given, canonical, tolerance;
};

// clang-format off
constexpr Row rows[] = {
    // Definition of the Fahrenheit scale.
    {Quantity::beer_temperature, "degF",   -40,     -40,        1e-6},
    {Quantity::beer_temperature, "degF",   32,      0,          1e-4},
    {Quantity::beer_temperature, "degF",   38,      3.333333,   1e-4},
    {Quantity::beer_temperature, "degF",   60,      15.55556,   1e-4},
    {Quantity::beer_temperature, "[degF]", 68,      20,         1e-4},
    {Quantity::beer_temperature, "°F",     152,     66.66667,   1e-4},
    {Quantity::beer_temperature, "degF",   212,     100,        1e-4},
    // Definition of the kelvin against the degree Celsius.
    {Quantity::room_temperature, "K",      273.15,  0,          1e-9},
    {Quantity::room_temperature, "Cel",    19.4,    19.4,       0},
    {Quantity::room_temperature, "°C",     19.4,    19.4,       0},
    // NIST SP 811: lb 0.45359237 kg, inch 25.4 mm, g_n 9.80665 m/s2; standard atmosphere 101.325 kPa.
    {Quantity::head_pressure,    "psi",    1,       6.894757,   0.000689476},
    {Quantity::head_pressure,    "psi",    12,      82.73709,   0.00827371},
    {Quantity::head_pressure,    "psi",    15,      103.4214,   0.0103421},
    {Quantity::head_pressure,    "[psi]",  30,      206.8427,   0.0206843},
    {Quantity::barometric_pressure, "psi", 14.69595, 101.325,   1e-4},  // from memory
    {Quantity::barometric_pressure, "bar", 1.01325, 101.325,    1e-9},
    {Quantity::barometric_pressure, "hPa", 1013.25, 101.325,    1e-9},
    {Quantity::barometric_pressure, "mbar", 1013.25, 101.325,   1e-9},
    {Quantity::barometric_pressure, "Pa",  101325,  101.325,    1e-9},
    {Quantity::supply_pressure,  "kPa",    250,     250,        0},
    // ASBC Methods of Analysis, Table 1, as a cubic, solved for SG 20/20.
    {Quantity::gravity,          "degP",   0,       1.000012,   2e-5},
    {Quantity::gravity,          "degP",   2.5,     1.009761,   2e-5},
    {Quantity::gravity,          "degP",   5,       1.019676,   2e-5},
    {Quantity::gravity,          "degP",   10,      1.040027,   2e-5},
    {Quantity::gravity,          "°P",     12,      1.048369,   2e-5},
    {Quantity::gravity,          "degP",   15,      1.061109,   2e-5},
    {Quantity::gravity,          "degP",   20,      1.082972,   2e-5},
    {Quantity::gravity,          "degP",   24,      1.10106,    2e-5},
    // Plato/ASBC/NBS table: 10.00 % and 12.00 % sucrose, apparent SG 20/20 (from memory).
    {Quantity::gravity,          "degP",   10,      1.04003,    2e-5},
    {Quantity::gravity,          "degP",   12,      1.04837,    2e-5},
    // NBS Circular C440 sucrose table, cubic fit, RMS 0.0009 degrees Brix.
    {Quantity::gravity,          "degBx",  2.560476, 1.010,     1e-6},
    {Quantity::gravity,          "degBx",  9.993379, 1.040,     1e-6},
    {Quantity::gravity,          "°Bx",    12.38699, 1.050,     1e-6},
    {Quantity::gravity,          "degBx",  19.33109, 1.080,     1e-6},
    {Quantity::gravity,          "degBx",  23.77415, 1.100,     1e-6},
    // SI prefixes; dBW is RFC 8428's unit of power level, 30 dB above the milliwatt.
    {Quantity::battery_voltage,  "mV",     3710,    3.71,       1e-12},
    {Quantity::signal_strength,  "dBW",    -97,     -67,        1e-12},
    {Quantity::alcohol_by_volume, "%",     4.2,     4.2,        0},
};
// clang-format on

TEST(UnitTable, ConvertsAsTheDefinitionsSay) {
    for (const Row& row : rows) {
        ASSERT_TRUE(unit_fits(row.quantity, row.unit)) << row.unit;
        EXPECT_NEAR(to_canonical(row.quantity, row.unit, row.given), row.canonical, row.tolerance)
            << row.unit;
    }
}

TEST(UnitTable, KnowsTheCanonicalUnitOfEveryMeasuredQuantity) {
    for (const Quantity q : gyled::base::all_quantities()) {
        if (!gyled::base::is_measured(q)) continue;
        ASSERT_FALSE(units_for(q).empty()) << gyled::base::name(q);
        EXPECT_EQ(units_for(q).front(), gyled::base::unit(q));
        EXPECT_EQ(to_canonical(q, gyled::base::unit(q), 1.05), 1.05);
        EXPECT_EQ(to_canonical(q, "", 1.05), 1.05) << "no unit means the canonical one";
    }
}

TEST(UnitTable, KeepsDimensionsApart) {
    EXPECT_FALSE(unit_fits(Quantity::beer_temperature, "psi"));
    EXPECT_FALSE(unit_fits(Quantity::head_pressure, "degC"));
    EXPECT_FALSE(unit_fits(Quantity::gravity, "%"));
    EXPECT_FALSE(unit_fits(Quantity::battery_voltage, "%")) << "a charge is not a voltage";
    EXPECT_FALSE(unit_fits(Quantity::signal_strength, "V"));
    EXPECT_FALSE(unit_fits(Quantity::beer_temperature, "ohm")) << "ohms become degrees in a transducer only";
    EXPECT_FALSE(unit_fits(Quantity::beer_temperature, "degc")) << "spelling is exact: K and k differ";
    EXPECT_FALSE(unit_fits(Quantity::beer_temperature, "bogus"));
}

TEST(UnitTable, HasNoSpellingTwiceInOneDimension) {
    std::set<std::pair<Dimension, std::string_view>> seen;
    for (const Unit& unit : all_units()) {
        EXPECT_TRUE(seen.emplace(unit.dimension, unit.name).second) << unit.name;
        for (const std::string_view alias : unit.aliases) {
            if (alias.empty()) continue;
            EXPECT_TRUE(seen.emplace(unit.dimension, alias).second) << alias;
        }
    }
}

TEST(UnitTable, KeepsAnExtractBeyondAllWortBeyondAllWort) {
    for (const char* unit : {"degP", "degBx"}) {
        EXPECT_GT(to_canonical(Quantity::gravity, unit, 70), 1.2);
        EXPECT_GT(to_canonical(Quantity::gravity, unit, 1048), 1.2);
        EXPECT_GT(to_canonical(Quantity::gravity, unit, 1e30), 1.2);
        EXPECT_LT(to_canonical(Quantity::gravity, unit, -20), 0.98);
        EXPECT_LT(to_canonical(Quantity::gravity, unit, -1e30), 0.98);
        EXPECT_TRUE(std::isnan(to_canonical(Quantity::gravity, unit, NAN)));
    }
}

}  // namespace
