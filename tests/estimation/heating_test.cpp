#include "daemon/estimation/trend/heating.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "daemon/brewing/brew_day.hpp"

namespace gyled::estimation::trend {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;
}

/// Newton's law with power P: dT/dt = P/C - k (T - T_room); closed form (any textbook of heat transfer).
struct Kettle {
    double start_c, room_c, power_c_per_hour, loss_per_hour;
    [[nodiscard]] double settled_c() const { return room_c + power_c_per_hour / loss_per_hour; }
    [[nodiscard]] double celsius(double hours) const {
        return settled_c() + (start_c - settled_c()) * std::exp(-loss_per_hour * hours);
    }
    [[nodiscard]] double hours_to(double c) const {
        return -std::log((c - settled_c()) / (start_c - settled_c())) / loss_per_hour;
    }
};

HeatingTrend watch(const Kettle& kettle, Duration span, unsigned seed) {
    std::mt19937 random{seed};
    std::normal_distribution<double> jitter{0, 0.04};
    HeatingTrend trend;
    for (Duration t = 0s; t <= span; t += 10s) {
        const double raw = kettle.celsius(static_cast<double>(t.count()) / 3.6e6) + jitter(random);
        trend.add(at(t), std::round(raw / 0.0625) * 0.0625);
    }
    return trend;
}

TEST(Heating, ForetellsStrikeWaterWithinTwoMinutes) {
    // 30 L with 3.5 kW: 32.8 min from 15 to 70 degC without losses (4.186 kJ/(kg K)); here some are lost.
    const Kettle kettle{15, 18, 3.5 * 3600 / (30 * 0.998203 * 4.186), 0.08};

    int held = 0;
    for (unsigned seed = 0; seed < 20; ++seed) {
        const HeatingTrend trend = watch(kettle, 15min, seed);
        const auto when = trend.time_to(70);
        ASSERT_TRUE(when.has_value());
        const double truth = base::unix_seconds(at(0s)) + 3600 * kettle.hours_to(70);
        EXPECT_NEAR(when->value, truth, 120) << "seed " << seed;
        held += when->low <= truth && truth <= when->high;
    }
    EXPECT_GE(held, 14) << "of 20; 90 % is meant";
}

TEST(Heating, ForetellsAChillThatSlowsDown) {
    const Kettle chiller{60, 10, 0, 1.2};  // towards coolant of 10 degC

    for (unsigned seed = 0; seed < 10; ++seed) {
        const auto when = watch(chiller, 40min, seed).time_to(20);
        ASSERT_TRUE(when.has_value());
        const double truth = base::unix_seconds(at(0s)) + 3600 * chiller.hours_to(20);
        EXPECT_NEAR(when->value, truth, 12 * 60) << "seed " << seed;
    }
}

TEST(Heating, RemembersTheWarmestOfAQuarterOfAnHour) {
    HeatingTrend trend;
    EXPECT_FALSE(trend.warmest_c());
    for (Duration t = 0s; t <= 10min; t += 10s) trend.add(at(t), 90);
    trend.add(at(11min), 30);  // cold water went in: a new curve, and still it was hot
    EXPECT_EQ(trend.warmest_c(), 90);
    for (Duration t = 12min; t <= 40min; t += 100ms)
        trend.add(at(t), 30 - static_cast<double>(t.count()) / 1e6);
    EXPECT_LT(trend.warmest_c(), 30) << "that was long ago, and a flood is thinned";
}

TEST(Heating, SaysNothingAtRest) {
    EXPECT_FALSE(watch({67, 67, 0, 0.1}, 40min, 1).time_to(76).has_value());
    EXPECT_FALSE(watch({40, 18, 30, 0.05}, 20min, 1).time_to(20).has_value()) << "it moves the other way";
    EXPECT_FALSE(HeatingTrend{}.time_to(70).has_value());
}

TEST(Heating, BeginsAnewAfterDoughIn) {
    HeatingTrend trend = watch({15, 18, 95, 0.05}, 30min, 3);
    // grain of 20 degC into the liquor: the balance is brewing's
    trend.add(at(31min), trend.rate()->level_c - 6);

    EXPECT_FALSE(trend.rate().has_value()) << "the slope before the drop says nothing of the mash";
}

/// m c dT / P: 30 L from 15 to 70 degC with 3.5 kW take 32.8 min without losses (4.186 kJ/(kg K)).
TEST(Heating, IsForetoldByTheHeaterBeforeTheVesselsOwnRateIsLearnt) {
    HeatingTrend trend{HeatKnowledge{30, 3.5}};
    EXPECT_FALSE(trend.time_to(70)) << "nobody knows how warm it is";
    trend.add(at(0min), 15);

    const auto when = trend.time_to(70);

    ASSERT_TRUE(when);
    const auto minutes = [](double moment) { return (moment - base::unix_seconds(at(0min))) / 60; };
    const double lossless = 30 * 0.998203 * 4.186 * 55 / 3.5 / 60;
    EXPECT_NEAR(minutes(when->low), lossless, 0.01) << "no heater gives more than its mark";
    EXPECT_NEAR(minutes(when->value), lossless / 0.85, 0.01);
    EXPECT_GT(when->high, when->value);
    EXPECT_FALSE(trend.time_to(10)) << "a heater does not cool";
    EXPECT_FALSE(HeatingTrend{}.time_to(70)) << "no heater was told of";
}

TEST(Heating, TheHeaterIsSilentOnceTheVesselSpeaks) {
    HeatingTrend trend{HeatKnowledge{30, 3.5}};
    for (Duration t = 0s; t <= 10min; t += 10s) trend.add(at(t), 15);
    EXPECT_FALSE(trend.time_to(70)) << "it stands still: the heater is off";

    HeatingTrend cooling{HeatKnowledge{30, 3.5}};
    cooling.add(at(0min), 60);
    cooling.add(at(1min), 59.5);
    EXPECT_FALSE(cooling.time_to(70)) << "it cools";
}

}  // namespace
}  // namespace gyled::estimation::trend
