#include "daemon/estimation/gas/closing.hpp"

#include <gtest/gtest.h>

#include <array>
#include <chrono>
#include <cmath>
#include <random>

#include "daemon/brewing/relief.hpp"

namespace gyled::estimation::gas {
namespace {

using base::Pressure;
using base::Quantity;

constexpr double original_sg = 1.048;
constexpr double final_sg = 1.010;

ClosingConditions ale(double celsius = 18) {
    ClosingConditions now;
    now.beer_c = celsius;
    now.bearable_kpa = brewing::bearable_kpa(180, 180);
    return now;
}

/// 21.5 L in 26 L that fermented under an open vent: CO2 alone above it, as much in it as it holds.
GasContents vented(double factor = brewing::beer_factor_typical, double litres = 21.5) {
    const double co2_kpa = brewing::co2_partial_kpa(18, base::standard_atmosphere);
    return {.vessel = {litres, 26.0 - litres, factor},
            .in_beer = factor * brewing::volumes_in_water(18, base::standard_atmosphere),
            .co2_kpa = co2_kpa,
            .air_kpa = 0,
            .weight = 1};
}

SugarLeft points_left(double points, double end = final_sg) {
    return {{original_sg, end + points / 1000, end}, 1};
}

/// Many samples with the doubts that a filter has: factor, head space, gravity now and at the end.
struct Doubtful {
    explicit Doubtful(double points) {
        std::mt19937 random{7};
        std::normal_distribution<double> normal;
        for (int i = 0; i < 400; ++i) {
            gas.push_back(vented(0.95 + 0.018 * normal(random), 21.5 + 0.3 * normal(random)));
            const double end = final_sg + 0.0008 * normal(random);
            sugar.push_back({{original_sg, final_sg + points / 1000 + 0.0005 * normal(random), end}, 1});
        }
    }
    [[nodiscard]] base::Estimates outlook() const { return closing_outlook(gas, sugar, ale()); }
    std::vector<GasContents> gas;
    std::vector<SugarLeft> sugar;
};

double value(const base::Estimates& estimates, Quantity quantity) {
    return estimates.at(quantity).value;
}

/// One sample's answer holds a draw of the doubts: the middle of many that differ in nothing else is free of
/// them.
base::Estimates without_doubt(const GasContents& gas, std::vector<SugarLeft> sugar, ClosingConditions now) {
    return closing_outlook(std::vector<GasContents>(2001, gas), sugar, now);
}

/// kPa gauge at 18 and 25 degC once 1 to 5 points have fermented behind the valve, shut at 18 degC and 0
/// gauge.
struct Row {
    double points, at_18, at_25;
};

/// Computed by another program, which shares no code with this one (a review of this project's sums).
constexpr std::array<Row, 5> by_another_program{
    {{1, 48, 76}, {2, 96, 132}, {3, 144, 189}, {4, 193, 246}, {5, 241, 304}}};

/// By hand: Henry's constants of IAPWS G7-04 (tests/reference/iapws.csv, between its rows in the logarithm)
/// times 0.95, an ideal gas, 55.34 mol of water a litre, vapour of IAPWS-IF97; a point is 1/3.936 degree
/// Plato apparent (a table's anchor: 5 degrees are 1.01968), 0.8192 of it real, 0.9565 g of CO2 from 2.0665
/// g.
constexpr std::array<Row, 5> by_hand{
    {{1, 47.0, 73.3}, {2, 94.1, 128.4}, {3, 141.1, 183.5}, {4, 188.2, 238.7}, {5, 235.2, 293.8}}};

TEST(ClosingOutlook, EndsWhereOthersReckonThatItEnds) {
    for (std::size_t i = 0; i < by_hand.size(); ++i) {
        const auto [points, at_18, at_25] = by_another_program[i];
        const auto end = without_doubt(vented(), {points_left(points)}, ale());

        EXPECT_NEAR(value(end, Quantity::closed_pressure), at_18, 1 + 0.01 * at_18) << points;
        EXPECT_NEAR(value(end, Quantity::warm_pressure), at_25, 1 + 0.01 * at_25) << points;
        EXPECT_NEAR(value(end, Quantity::closed_pressure), by_hand[i].at_18, 0.04 * at_18) << points;
        EXPECT_NEAR(value(end, Quantity::warm_pressure), by_hand[i].at_25, 0.04 * at_25) << points;
    }
}

TEST(ClosingOutlook, StaysWhereItIsWithoutSugar) {
    const auto end = without_doubt(vented(), {points_left(0)}, ale());
    EXPECT_NEAR(value(end, Quantity::closed_pressure), 0, 0.5);
    const auto finished = without_doubt(vented(), {}, ale());
    EXPECT_NEAR(value(finished, Quantity::closed_pressure), 0, 0.5);
    EXPECT_FALSE(finished.contains(Quantity::closing_gravity)) << "nothing is known of its sugar";
}

/// Beer of 2.5 volumes, shut at 2 degC under 68 kPa with 10 % head space: 1.98 bar at 20 degC (computed by
/// another program, f = 0.95).
TEST(ClosingOutlook, ForeseesTheWarmUpOfCarbonatedBeer) {
    const auto shut = Pressure::from_kpa_gauge(68, base::standard_atmosphere);
    const GasContents cold{.vessel = {23.4, 2.6, 0.95},
                           .in_beer = brewing::volumes_in_beer(2, shut),
                           .co2_kpa = brewing::co2_partial_kpa(2, shut),
                           .air_kpa = 0,
                           .weight = 1};
    ClosingConditions now = ale(2);
    now.warmest_c = 20;
    EXPECT_NEAR(value(without_doubt(cold, {}, now), Quantity::warm_pressure), 198, 2);
}

/// Beer at equilibrium with one atmosphere of CO2, under air: the air adds what the beer gives off to it.
TEST(ClosingOutlook, CountsTheAirAboveTheBeer) {
    GasContents under_air = vented();
    std::swap(under_air.co2_kpa, under_air.air_kpa);
    EXPECT_GT(value(without_doubt(under_air, {}, ale()), Quantity::closed_pressure), 60);
}

/// Shut at the gravity that it calls safe, the warm case ends within what is bearable, to its upper end.
TEST(ClosingOutlook, CallsNoGravitySafeThatIsNot) {
    const base::Estimate closing = Doubtful{6}.outlook().at(Quantity::closing_gravity);
    EXPECT_DOUBLE_EQ(closing.value, closing.low) << "the safe end is what is told";
    EXPECT_LT(closing.low, closing.high);

    const double points = (closing.value - final_sg) * 1000;
    const auto then = Doubtful{points}.outlook().at(Quantity::warm_pressure);
    EXPECT_LE(then.high, *ale().bearable_kpa + 3);
    EXPECT_GT(then.high, *ale().bearable_kpa - 25) << "nor far too careful";
}

TEST(ClosingOutlook, SaysThatItCanNeverBeClosedUnderTooMuchPressure) {
    GasContents pressed = vented();
    const auto high = Pressure::from_kpa_gauge(160, base::standard_atmosphere);
    pressed.co2_kpa = brewing::co2_partial_kpa(18, high);
    pressed.in_beer = brewing::volumes_in_beer(18, high);
    const auto end = without_doubt(pressed, {points_left(4)}, ale());
    EXPECT_LT(value(end, Quantity::closing_gravity), final_sg);
}

/// 90 % of truths drawn as the samples were lie within.
TEST(ClosingOutlook, HoldsTheJointDoubt) {
    const auto told = Doubtful{3}.outlook().at(Quantity::closed_pressure);
    std::mt19937 random{99};
    std::normal_distribution<double> normal;
    int held = 0;
    constexpr int truths = 400;
    for (int i = 0; i < truths; ++i) {
        const double end = final_sg + 0.0008 * normal(random);
        const SugarLeft left{{original_sg, final_sg + 0.003 + 0.0005 * normal(random), end}, 1};
        const auto truth =
            without_doubt(vented(0.95 + 0.018 * normal(random), 21.5 + 0.3 * normal(random)), {left}, ale());
        const double kpa = value(truth, Quantity::closed_pressure);
        held += kpa >= told.low && kpa <= told.high ? 1 : 0;
    }
    EXPECT_GE(held, truths * 85 / 100);
    EXPECT_LE(held, truths * 98 / 100);
    EXPECT_LT(told.high - told.low, 220) << "some 48 kPa a point of doubt";
}

/// A gauge that does not move after a day leaves little of the doubt about the sugar.
TEST(ClosingOutlook, BelievesTheGaugeOfAShutVessel) {
    Doubtful beer{1.5};
    for (SugarLeft& one : beer.sugar) one.falls_sg_per_h = (one.drop.from_sg - one.drop.to_sg) / 20;
    ClosingConditions now = ale();
    const double before = closing_outlook(beer.gas, beer.sugar, now).at(Quantity::closed_pressure).high;
    now.rise = Rise{.kpa_per_h = 0, .sigma = 0.05, .c_per_h = 0, .shut_h = 24};
    const double after = closing_outlook(beer.gas, beer.sugar, now).at(Quantity::closed_pressure).high;
    EXPECT_LT(after, before - 60);
}

/// A whole wort shut in: far beyond every vessel, and beyond every formula, but a number.
TEST(ClosingOutlook, SurvivesNonsense) {
    EXPECT_TRUE(closing_outlook({}, {points_left(3)}, ale()).empty());
    for (const double points : {38.0, 110.0, -5.0}) {
        GasContents hot = vented();
        hot.air_kpa = 99;
        hot.co2_kpa = 0;
        hot.in_beer = 0;
        SugarLeft wort = points_left(points);
        wort.drop.original_sg = std::max(original_sg, wort.drop.from_sg);
        for (const double celsius : {-2.0, 40.0})
            for (const auto& [quantity, estimate] : closing_outlook({hot, vented()}, {wort}, ale(celsius))) {
                EXPECT_TRUE(std::isfinite(estimate.value)) << base::name(quantity);
                EXPECT_LE(estimate.low, estimate.value);
                EXPECT_LE(estimate.value, estimate.high);
            }
    }
    const auto whole = closing_outlook({vented()}, {points_left(38)}, ale());
    EXPECT_GT(value(whole, Quantity::closed_pressure), 1500);
}

}  // namespace
}  // namespace gyled::estimation::gas
