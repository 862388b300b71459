/// The tightness test against a vessel of another kind: gas counted in moles, warmed by a room, leaking
/// through a hole; its instruments err as the parameters say they may.
#include "daemon/estimation/trend/tightness.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "daemon/brewing/tightness.hpp"

namespace gyled::estimation::trend {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;
}

struct Vessel {
    double kpa_per_hour = 0;  ///< lost at 20 degC
    double swing_c = 1.5;     ///< of the room, over a day
    double noise_kpa = 0.1;
    double drift_kpa_per_h = 0;  ///< of the transducer
    double unseen_c_per_h = 0;   ///< by which the gas warms beside the probe
    double weather_kpa_per_h = 0;
    unsigned seed = 1;
};

/// Gas of 100 kPa gauge and 20 degC: an ideal gas's pressure follows its absolute temperature, and damp gas
/// has 2.3 kPa of vapour at 20 degC that barely changes over a degree (0.15 kPa, steam tables).
TightnessSums lived_through(const Vessel& v, double hours, TightnessSums sums = {}, double from_h = 0) {
    std::mt19937 random{v.seed};
    std::normal_distribution<double> noise{0, v.noise_kpa};
    for (double h = from_h; h <= hours; h += 1.0 / 60) {
        const double swing = v.swing_c * std::sin(2 * std::numbers::pi * h / 24);
        const double celsius = 20 + swing, gas_c = celsius + v.unseen_c_per_h * h;
        const double dry = (101.325 + 100 - 2.339 - v.kpa_per_hour * h) * (gas_c + 273.15) / 293.15;
        const double vapour = 2.339 + 0.145 * (gas_c - 20);
        const double gauge = dry + vapour - 101.325 - v.weather_kpa_per_h * h + v.drift_kpa_per_h * h;
        add(sums, {at(0min), at(std::chrono::milliseconds{std::llround(h * 3.6e6)}), gauge + noise(random),
                   celsius, base::standard_atmosphere});
    }
    return sums;
}

TEST(Tightness, FindsAKnownLeakThroughTheRoomsWarmth) {
    for (const double leak : {0.0, 0.2, 1.0, 3.0}) {
        Vessel v;
        v.kpa_per_hour = leak;
        const auto found = tightness(lived_through(v, 8), false);
        ASSERT_TRUE(found);
        EXPECT_NEAR(found->kpa_per_hour.value, leak, 0.03 + 0.01 * leak) << "of a swing of 1.5 degC, 10 kPa";
        EXPECT_LE(found->kpa_per_hour.low, leak);
        EXPECT_GE(found->kpa_per_hour.high, leak);
    }
}

TEST(Tightness, ItsIntervalHoldsWhatInstrumentsAndWeatherDo) {
    int held = 0, all = 0;
    double width = 0;
    for (unsigned seed = 1; seed <= 200; ++seed) {
        std::mt19937 random{seed};
        std::normal_distribution<double> unit;
        Vessel v;
        v.seed = seed;
        v.kpa_per_hour = std::abs(unit(random));
        v.drift_kpa_per_h = 0.2 / 8 * unit(random);
        v.unseen_c_per_h = 0.3 / 8 * unit(random);
        v.weather_kpa_per_h = 0.045 * unit(random);
        const auto found = tightness(lived_through(v, 8), true);
        ASSERT_TRUE(found);
        ++all;
        width += found->kpa_per_hour.high - found->kpa_per_hour.low;
        held += found->kpa_per_hour.low <= v.kpa_per_hour && v.kpa_per_hour <= found->kpa_per_hour.high;
    }
    EXPECT_GE(held, 0.85 * all);
    EXPECT_LE(held, 0.97 * all) << "not by being wide: " << width / all;
}

TEST(Tightness, SaysNothingWithinTheFirstHour) {
    EXPECT_FALSE(tightness(lived_through({}, 1.0), false));
    EXPECT_TRUE(tightness(lived_through({}, 1.5), false));
    EXPECT_FALSE(tightness({}, false));
}

TEST(Tightness, BeginsAnewWhenGasIsPutIn) {
    TightnessSums sums = lived_through({.kpa_per_hour = 5}, 3);
    ASSERT_GT(tightness(sums, false)->kpa_per_hour.low, 4);
    add(sums, {at(0min), at(4h), 150, 20, base::standard_atmosphere});

    EXPECT_FALSE(tightness(sums, false));
    EXPECT_EQ(sums.count, 0);
    EXPECT_EQ(sums.first, at(4h + 15min)) << "what has been compressed is warm";
}

TEST(Tightness, AnotherStageIsAnotherTest) {
    TightnessSums sums = lived_through({}, 3);
    add(sums, {at(5h), at(6h), 100, 20, base::standard_atmosphere});
    EXPECT_EQ(sums.stage_since, at(5h));
    EXPECT_EQ(sums.count, 0);
}

TEST(Tightness, WhatMakesNoSenseDoesNotCount) {
    TightnessSums sums = lived_through({}, 3);
    const TightnessSums before = sums;
    for (const double nonsense : {std::nan(""), HUGE_VAL, -HUGE_VAL}) {
        add(sums, {at(0min), at(4h), nonsense, 20, base::standard_atmosphere});
        add(sums, {at(0min), at(4h), 100, nonsense, base::standard_atmosphere});
    }
    add(sums, {at(0min), at(2h), 90, 20, base::standard_atmosphere});
    EXPECT_EQ(sums, before) << "nor what is older than the newest";
    add(sums, {at(0min), at(4h), 5, 20, base::standard_atmosphere});
    EXPECT_EQ(sums.count, before.count) << "without pressure no hole shows";
}

/// One mole of CO2 is 44 g; 1 kPa an hour out of 26 L at 20 degC is 26 / (8.314 * 293.15) = 0.01067 mol an
/// hour, 11.3 g a day (own sum by the gas law).
TEST(Tightness, IsToldInGrams) {
    const double mol = 1.0 / (8.314462 * 293.15);
    EXPECT_NEAR(brewing::co2_g_per_day(mol, 26), 11.27, 0.01);
    EXPECT_NEAR(brewing::kpa_of_gas(mol, 20), 1.0, 1e-6);
}

}  // namespace
}  // namespace gyled::estimation::trend
