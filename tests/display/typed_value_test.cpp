/// What a person types: understood, or refused with the likely meaning.

#include "daemon/display/typed_value.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

namespace gyled::display {
namespace {

using ::testing::HasSubstr;

struct Row {
    const char* text;
    Quantity quantity;
    double canonical, within;
    const char* unit;
};

void PrintTo(const Row& row, std::ostream* out) {
    *out << row.text;
}

class Understood : public ::testing::TestWithParam<Row> {};

TEST_P(Understood, InTheUnitThatWasTyped) {
    const auto typed = typed_value(GetParam().text, GetParam().quantity, Display::metric());
    ASSERT_TRUE(typed) << typed.error();
    EXPECT_NEAR(typed->canonical, GetParam().canonical, GetParam().within);
    EXPECT_EQ(typed->unit, GetParam().unit);
}

// 12 and 20 degrees Plato: 1.04835 and 1.08300 SG 20/20, ASBC table of extract (from memory). 12 psi = 82.737
// kPa, 1 psi = 6.894757 kPa (NIST SP 811). 68 degF = 20 degC. 1 volume of CO2 = 1.977 g/L at 0 degC and
// 101.325 kPa.
INSTANTIATE_TEST_SUITE_P(Values, Understood,
                         ::testing::Values(Row{"1.012", Quantity::gravity, 1.012, 1e-12, "SG"},
                                           Row{"1,012", Quantity::gravity, 1.012, 1e-12, "SG"},
                                           Row{" 1.012 SG ", Quantity::gravity, 1.012, 1e-12, "SG"},
                                           Row{"0.998", Quantity::gravity, 0.998, 1e-12, "SG"},
                                           Row{"12P", Quantity::gravity, 1.04835, 1e-4, "°P"},
                                           Row{"12 °P", Quantity::gravity, 1.04835, 1e-4, "°P"},
                                           Row{"12 Plato", Quantity::gravity, 1.04835, 1e-4, "°P"},
                                           Row{"20p", Quantity::gravity, 1.08300, 1e-4, "°P"},
                                           Row{"68F", Quantity::beer_temperature, 20, 1e-9, "°F"},
                                           Row{"20", Quantity::beer_temperature, 20, 1e-12, "°C"},
                                           Row{"-1.5 °C", Quantity::room_temperature, -1.5, 1e-12, "°C"},
                                           Row{"12psi", Quantity::head_pressure, 82.737, 1e-3, "psi"},
                                           Row{"0.8", Quantity::head_pressure, 80, 1e-9, "bar"},
                                           Row{"80kPa", Quantity::supply_pressure, 80, 1e-12, "kPa"},
                                           Row{"2.4vol", Quantity::co2_volumes, 2.4, 1e-12, "vol"},
                                           Row{"1.977 g/L", Quantity::co2_volumes, 1, 1e-3, "g/L"}));

TEST(BareNumber, IsInThePersonsUnit) {
    Display display = Display::us();
    EXPECT_NEAR(typed_value("68", Quantity::beer_temperature, display)->canonical, 20, 1e-9);
    EXPECT_NEAR(typed_value("12", Quantity::head_pressure, display)->canonical, 82.737, 1e-3);
    display.gravity = GravityUnit::plato;
    EXPECT_NEAR(typed_value("12", Quantity::gravity, display)->canonical, 1.04835, 1e-4);
    EXPECT_NEAR(typed_value("1.012", Quantity::gravity, display)->canonical, 1.012, 1e-12)
        << "nobody measures a wort of one degree Plato";
}

/// Pound, foot and gallon: NIST SP 811.
TEST(Amounts, AreReadInTheirUnits) {
    const auto metric = [](const char* text, Amount amount) {
        return typed_amount(text, amount, Display::metric())->canonical;
    };
    EXPECT_NEAR(metric("21 L", Amount::volume), 21, 1e-12);
    EXPECT_NEAR(metric("5.5gal", Amount::volume), 20.820, 1e-3);
    EXPECT_NEAR(metric("5", Amount::mass), 5, 1e-12);
    EXPECT_NEAR(metric("11 lb", Amount::mass), 4.98952, 1e-5);
    EXPECT_NEAR(metric("4oz", Amount::mass), 0.113398, 1e-6);
    EXPECT_NEAR(metric("120 g", Amount::mass), 0.12, 1e-12);
    EXPECT_NEAR(metric("3500W", Amount::power), 3.5, 1e-12);
    EXPECT_NEAR(metric("30 m³", Amount::room), 30, 1e-12);
    EXPECT_NEAR(metric("1000ft3", Amount::room), 28.3168, 1e-4);
    EXPECT_NEAR(metric("5000 ft", Amount::elevation), 1524, 1e-9);
    EXPECT_NEAR(metric("90 %", Amount::percent), 90, 1e-12);
    EXPECT_NEAR(metric("12,5 °Bx", Amount::brix), 12.5, 1e-12);
    EXPECT_NEAR(metric("1.04", Amount::correction_factor), 1.04, 1e-12);
    const auto us = [](const char* text, Amount amount) {
        return typed_amount(text, amount, Display::us())->canonical;
    };
    EXPECT_NEAR(us("5.5", Amount::volume), 20.820, 1e-3);
    EXPECT_NEAR(us("11", Amount::mass), 4.98952, 1e-5);
    EXPECT_NEAR(us("5000", Amount::elevation), 1524, 1e-9);
}

TEST(Amounts, AreRefusedInWords) {
    const auto why = [](const char* text, Amount amount) {
        const auto typed = typed_amount(text, amount, Display::metric());
        return typed ? "taken" : typed.error();
    };
    EXPECT_THAT(why("5 stone", Amount::mass), HasSubstr("kg, g, lb, oz"));
    EXPECT_THAT(why("-5kg", Amount::mass), HasSubstr("is no mass"));
    EXPECT_THAT(why("0 L", Amount::volume), HasSubstr("is no volume"));
    EXPECT_THAT(why("120%", Amount::percent), HasSubstr("is no percentage"));
    EXPECT_THAT(why("1.050", Amount::correction_factor), HasSubstr("taken"));
    EXPECT_THAT(why("12.5", Amount::correction_factor), HasSubstr("is no wort correction factor"));
    EXPECT_THAT(why("1.04 Bx", Amount::correction_factor), HasSubstr("none"));
    EXPECT_THAT(why("", Amount::power), HasSubstr("write a number"));
    EXPECT_THAT(why("nan", Amount::room), HasSubstr("write a number"));
    EXPECT_THAT(why("high", Amount::elevation), HasSubstr("write a number"));
}

struct Refusal {
    const char* text;
    Quantity quantity;
    const char* why;
};

void PrintTo(const Refusal& refusal, std::ostream* out) {
    *out << refusal.text;
}

class Refused : public ::testing::TestWithParam<Refusal> {};

TEST_P(Refused, WithTheLikelyMeaning) {
    const auto typed = typed_value(GetParam().text, GetParam().quantity, Display::metric());
    ASSERT_FALSE(typed) << typed->canonical << " " << typed->unit;
    EXPECT_THAT(typed.error(), HasSubstr(GetParam().why));
}

INSTANTIATE_TEST_SUITE_P(Nonsense, Refused,
                         ::testing::Values(Refusal{"1023", Quantity::gravity, "did you mean 1.023?"},
                                           Refusal{"1012 SG", Quantity::gravity, "did you mean 1.012?"},
                                           Refusal{"23", Quantity::gravity, "did you mean 1.023, or 23P?"},
                                           Refusal{"12 Brix", Quantity::gravity, "Brix"},
                                           Refusal{"12 bar", Quantity::gravity, "SG, °P"},
                                           Refusal{"80P", Quantity::gravity, "is no gravity"},
                                           Refusal{"150", Quantity::beer_temperature, "did you mean 150F?"},
                                           Refusal{"900", Quantity::beer_temperature, "is no temperature"},
                                           Refusal{"500 psi", Quantity::head_pressure,
                                                   "is no gauge pressure"},
                                           Refusal{"12 P", Quantity::head_pressure, "kPa, bar, psi"},
                                           Refusal{"24 vol", Quantity::co2_volumes, "is no carbonation"},
                                           Refusal{"", Quantity::gravity, "write a number"},
                                           Refusal{"nan", Quantity::gravity, "write a number"},
                                           Refusal{"inf", Quantity::head_pressure, "write a number"},
                                           Refusal{"1e400", Quantity::gravity, "write a number"},
                                           Refusal{"warm", Quantity::beer_temperature, "write a number"},
                                           Refusal{"1.012.3", Quantity::gravity, "the unit of"},
                                           Refusal{"\xC2", Quantity::gravity, "write a number"},
                                           Refusal{"3.9", Quantity::battery_voltage, "by hand"}));

}  // namespace
}  // namespace gyled::display
