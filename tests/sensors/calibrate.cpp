/// Transducers and curves against the standards and tables they come from.

#include "sensors/calibrate/calibrate.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sensors/calibrate/curve.hpp"
#include "sensors/calibrate/ratiometric.hpp"
#include "sensors/calibrate/thermometer.hpp"
#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using Element = Calibration::Element;

struct Pair {
    double given, expected, tolerance;
};

TEST(PlatinumThermometer, HasTheResistanceOfTheStandard) {
    constexpr Pair celsius_to_ohm[] = {
        // IEC 60751:2008, computed from R = R0(1 + At + Bt^2), below 0 degC + C(t - 100)t^3.
        {-20, 92.1599, 0.001},
        {-10, 96.08588, 0.001},
        {0, 100, 0.001},
        {4, 101.5624, 0.001},
        {10, 103.9025, 0.001},
        {20, 107.7935, 0.001},
        {25, 109.7347, 0.001},
        {50, 119.3971, 0.001},
        {66, 125.5432, 0.001},
        {76, 129.3695, 0.001},
        {100, 138.5055, 0.001},
        // A Pt100 table to IEC 60751, printed to 0.01 ohm.
        {-20, 92.16, 0.0055},
        {-10, 96.09, 0.0055},
        {-5, 98.04, 0.0055},
        {0, 100.00, 0.0055},
        {1, 100.39, 0.0055},
        {2, 100.78, 0.0055},
        {3, 101.17, 0.0055},
        {4, 101.56, 0.0055},
        {100, 138.51, 0.0055},
        {200, 175.86, 0.0055}};
    for (const Pair& p : celsius_to_ohm) {
        EXPECT_NEAR(platinum_resistance_ohm(p.given), p.expected, p.tolerance) << p.given;
        EXPECT_NEAR(platinum_celsius(p.expected), p.given, p.tolerance / 0.37) << "and back";
    }
}

TEST(PlatinumThermometer, GivesTheTemperatureOfTheStandardsTable) {
    // IEC 60751 table inverted, from memory.
    constexpr Pair ohm_to_celsius[] = {
        {101.56, 4, 0.03}, {107.79, 20, 0.03}, {125.54, 66, 0.03}, {138.51, 100, 0.03}};
    for (const Pair& p : ohm_to_celsius) EXPECT_NEAR(platinum_celsius(p.given), p.expected, p.tolerance);
}

TEST(PlatinumThermometer, GoesThereAndBackOverItsWholeRange) {
    for (double t = -200; t <= 850; t += 0.5) {
        EXPECT_NEAR(platinum_celsius(platinum_resistance_ohm(t)), t, 1e-8);
        EXPECT_NEAR(platinum_celsius(platinum_resistance_ohm(t, 1000), 1000), t, 1e-8);
    }
    for (const double ohm : {0.0, -5.0, 18.0, 391.0, 1e9, double(NAN), double(INFINITY)})
        EXPECT_TRUE(std::isnan(platinum_celsius(ohm))) << ohm;
}

TEST(Thermistor, FollowsTheTableItWasFittedTo) {
    // 10 kohm NTC table in a laboratory temperature-controller manual (Appendix A): three points give the
    // coefficients, three others are the check. Its entry at 40 degC is inconsistent with the rest and left
    // out.
    const SteinhartHart fitted = fit_steinhart_hart({{{32128, 0}, {9814, 25}, {3542, 50}}});
    constexpr Pair others[] = {{19549, 10, 0.003}, {12262, 20, 0.003}, {7908, 30, 0.003}};
    for (const Pair& p : others) EXPECT_NEAR(thermistor_celsius(p.given, fitted), p.expected, p.tolerance);
    for (const Pair& p : {Pair{32128, 0, 1e-9}, {9814, 25, 1e-9}, {3542, 50, 1e-9}})
        EXPECT_NEAR(thermistor_celsius(p.given, fitted), p.expected, p.tolerance) << "its own points";
}

TEST(Thermistor, FollowsTheEquation) {
    // Steinhart and Hart, Deep-Sea Research 15 (1968) 497, with generic 10 kohm coefficients; computed.
    const SteinhartHart generic{0.001129148, 0.000234125, 8.76741e-08};
    constexpr Pair rows[] = {{32650, 0.0002248035, 0.001}, {10000, 24.99967, 0.001}, {3603, 49.98566, 0.001}};
    for (const Pair& p : rows) EXPECT_NEAR(thermistor_celsius(p.given, generic), p.expected, p.tolerance);
    for (const double ohm : {0.0, -1.0, double(NAN)})
        EXPECT_TRUE(std::isnan(thermistor_celsius(ohm, generic)));
}

TEST(Thermistor, InBetaForm) {
    // 1/T = 1/T25 + ln(R/R25)/beta, beta 3950 K chosen as an example; computed.
    constexpr Pair rows[] = {{32650, 0.5544572, 0.001}, {10000, 25, 0.001}, {3603, 49.89109, 0.001}};
    for (const Pair& p : rows)
        EXPECT_NEAR(beta_thermistor_celsius(p.given, {10000, 25}, 3950), p.expected, p.tolerance);
    EXPECT_TRUE(std::isnan(beta_thermistor_celsius(0, {10000, 25}, 3950)));
}

TEST(Ratiometric, MapsTenToNinetyPercentOfTheSupply) {
    // p = (V/Vs - 0.1)/0.8 x FS, transducers of 10-90 % of supply; common practice, computed.
    struct Row {
        double volts, supply, full_scale, bar;
    };
    constexpr Row rows[] = {
        {0.5, 5, 5, 0}, {2.5, 5, 5, 2.5}, {4.5, 5, 5, 5}, {1.3, 5, 10, 2}, {0.66, 3.3, 5, 0.625}};
    for (const Row& r : rows) EXPECT_NEAR(ratiometric(r.volts, r.supply, r.full_scale).value(), r.bar, 1e-6);
}

TEST(Ratiometric, KnowsABrokenWireFromAPressure) {
    // Below 0.25 V or above 4.75 V of a 5 V supply: broken wire or short (common practice).
    for (const double volts : {0.0, 0.24, 4.76, 5.0, -1.0, double(NAN)})
        EXPECT_FALSE(ratiometric(volts, 5, 5)) << volts;
    for (const double volts : {0.26, 4.74}) EXPECT_TRUE(ratiometric(volts, 5, 5)) << volts;
}

TEST(Polynomial, IsEvaluatedByHorner) {
    // Synthetic, of no instrument: a gauge that reads a tenth low. By hand: 0.2 + 45 + 2.5 - 0.25 = 47.45.
    const double coefficients[] = {0.2, 0.9, 1e-3, -2e-6};
    EXPECT_NEAR(polynomial(coefficients, 0), 0.2, 1e-12);
    EXPECT_NEAR(polynomial(coefficients, 50), 47.45, 1e-12);
    EXPECT_NEAR(polynomial(coefficients, 100), 98.2, 1e-12);
    EXPECT_NEAR(polynomial(coefficients, 150), 150.95, 1e-12);
    EXPECT_EQ(polynomial({}, 25), 25);
}

TEST(Table, IsLinearBetweenItsPointsAndReachesATenthBeyond) {
    const std::pair<double, double> table[] = {{0, 10}, {10, 30}, {20, 40}};
    EXPECT_EQ(look_up(table, 0), 10);
    EXPECT_EQ(look_up(table, 5), 20);
    EXPECT_EQ(look_up(table, 10), 30);
    EXPECT_EQ(look_up(table, 15), 35);
    EXPECT_EQ(look_up(table, 20), 40);
    EXPECT_EQ(look_up(table, -2), 6) << "the first segment prolonged";
    EXPECT_EQ(look_up(table, 22), 42) << "the last one";
    EXPECT_FALSE(look_up(table, -2.01));
    EXPECT_FALSE(look_up(table, 22.01));
    EXPECT_FALSE(look_up(table, NAN));
}

Intaken through(SensorSpec spec, const char* payload) {
    return Intake{{spec}}.accept(message(spec, payload));
}

TEST(Calibration, CorrectsAFloatByItsTable) {
    SensorSpec spec = hydrometer();
    spec.calibration.table = {{1.000, 1.001}, {1.060, 1.058}};
    EXPECT_NEAR(accepted_value(through(spec, "1.030")), 1.0295, 1e-9);
    EXPECT_NEAR(accepted_value(through(spec, "1.066")), 1.0637, 1e-9);
    EXPECT_EQ(reason(through(spec, "1.067")), "outside_calibration");
}

TEST(Calibration, AddsItsOffsetInTheCanonicalUnit) {
    SensorSpec spec = thermometer();
    spec.unit = "degF";
    spec.calibration.offset = -0.5;
    EXPECT_NEAR(accepted_value(through(spec, "68")), 19.5, 1e-9);
}

TEST(Calibration, WorksOnTheConvertedValueUnlessItSaysOnRaw) {
    SensorSpec spec = thermometer();
    spec.unit = "degF";
    spec.calibration.polynomial = {1, 1};  // one more
    EXPECT_NEAR(accepted_value(through(spec, "68")), 21, 1e-9) << "one degree Celsius more";
    spec.calibration.on_raw = true;
    EXPECT_NEAR(accepted_value(through(spec, "67")), 20, 1e-9) << "one degree Fahrenheit more";
}

TEST(Calibration, TurnsOhmsAndVoltsIntoReadings) {
    SensorSpec platinum = thermometer();
    platinum.calibration.element = Element::pt100;
    EXPECT_NEAR(accepted_value(through(platinum, "125.54 ohm")), 66, 0.03);
    EXPECT_EQ(reason(through(platinum, "19.4 degC")), "wrong_unit") << "it should send ohms";
    EXPECT_EQ(reason(through(platinum, "100000")), "wire_fault");
    platinum.calibration.element_constants = {1000};
    EXPECT_NEAR(accepted_value(through(platinum, "1255.4")), 66, 0.03);

    SensorSpec thermistor = thermometer();
    thermistor.calibration.element = Element::steinhart_hart;
    thermistor.calibration.element_constants = {0.001129148, 0.000234125, 8.76741e-08};
    EXPECT_NEAR(accepted_value(through(thermistor, "10000")), 24.99967, 0.001);
    EXPECT_EQ(reason(through(thermistor, "0")), "wire_fault");
    thermistor.calibration.element = Element::beta;
    thermistor.calibration.element_constants = {10000, 3950};
    EXPECT_NEAR(accepted_value(through(thermistor, "3603")), 49.89109, 0.001);

    SensorSpec gauge = pressure_gauge();
    gauge.unit = "bar";
    gauge.calibration.element = Element::ratiometric;
    gauge.calibration.element_constants = {5, 10};
    EXPECT_NEAR(accepted_value(through(gauge, "1.3 V")), 200, 1e-6);
    EXPECT_EQ(reason(through(gauge, "4.9")), "wire_fault");
    EXPECT_THAT(through(gauge, "4.9").rejects[0].detail, testing::HasSubstr("look at the vessel"));
}

TEST(Calibration, NeverGivesAnythingButFiniteNumbers) {
    SensorSpec spec = pressure_gauge();
    spec.calibration.polynomial = {0, 1e300, 1e300};
    EXPECT_EQ(reason(through(spec, "1e300")), "not_finite");
}

// Resolution of 1-wire digital thermometers by component data sheets: 0.5 degC at 9 bit, halving per bit.
// Every step of each must survive decoding exactly.
TEST(Calibration, KeepsEveryStepOfADigitalThermometer) {
    for (const double step : {0.5, 0.25, 0.125, 0.0625}) {
        const double value = 19 + step;
        EXPECT_EQ(accepted_value(through(thermometer(), std::to_string(value).c_str())), value);
    }
}

}  // namespace
