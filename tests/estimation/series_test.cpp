#include "daemon/estimation/series.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <vector>

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using Detail = BinnedSeries::Detail;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;  // on a full hour
}

BinnedSeries of(const std::vector<std::pair<Duration, double>>& readings) {
    BinnedSeries series{Detail::five_minutes};
    for (const auto& [t, v] : readings) series.add(at(t), v);
    return series;
}

std::vector<std::pair<Duration, double>> noisy(Duration to, Duration every) {
    std::mt19937 random{2};
    std::uniform_real_distribution<double> value{0, 100};
    std::vector<std::pair<Duration, double>> readings;
    for (Duration t = 0s; t < to; t += every) readings.emplace_back(t, value(random));
    return readings;
}

TEST(BinnedSeries, DoesNotMindTheOrderOfArrival) {
    auto readings = noisy(3h, 17s);
    const BinnedSeries in_order = of(readings);
    std::shuffle(readings.begin(), readings.end(), std::mt19937{3});
    const BinnedSeries in_disorder = of(readings);

    for (Duration t = 0s; t < 3h; t += 5min)
        EXPECT_EQ(in_order.five_minutes(at(t)), in_disorder.five_minutes(at(t))) << "to the last bit";
    for (Duration t = 0s; t < 3h; t += 15min) EXPECT_EQ(in_order.quarter(at(t)), in_disorder.quarter(at(t)));
}

TEST(BinnedSeries, AMinuteLeavesOutItsExtremes) {
    BinnedSeries series{Detail::quarters};
    for (const double v : {20.0, 20.2, 99.0, 20.1, -40.0}) series.add(at(5s), v);

    EXPECT_NEAR(series.quarter(at(0s))->value, 20.1, 1e-6);
}

TEST(BinnedSeries, AQuarterIsTheMedianOfItsMinutes) {
    BinnedSeries series{Detail::quarters};
    EXPECT_FALSE(series.quarter(at(0s)).has_value());
    for (const auto& [minute, v] : {std::pair{0, 1.010}, {1, 1.011}, {2, 1.900}, {3, 1.012}})
        series.add(at(1min * minute), v);

    EXPECT_NEAR(series.quarter(at(0s))->value, 1.0115, 1e-6)
        << "one wild minute in four moves the median by half a step";
    EXPECT_EQ(series.quarter(at(0s))->count, 4u);
    EXPECT_FALSE(series.quarter(at(15min)).has_value());
    EXPECT_FALSE(series.quarter(at(-15min)).has_value());
}

/// What was asked while it was kept by the minute and what is asked when it is long closed must agree, or a
/// restart would not be a replay.
TEST(BinnedSeries, SaysTheSameOfADayLongAfterAsOnThatDay) {
    auto readings = noisy(24h, 40s);
    const BinnedSeries that_day = of(readings);
    BinnedSeries later = that_day;
    for (Duration t = 24h; t < 24h * 12; t += 1min) later.add(at(t), 7);

    for (Duration t = 0s; t < 24h; t += 15min) {
        ASSERT_TRUE(that_day.quarter(at(t)).has_value());
        EXPECT_EQ(that_day.quarter(at(t)), later.quarter(at(t)));
    }
    for (Duration t = 0s; t < 24h; t += 5min)
        EXPECT_EQ(that_day.five_minutes(at(t)), later.five_minutes(at(t)));
}

TEST(BinnedSeries, ABacklogThatComesAfterItsTimeCountsAsIfItHadComeThen) {
    auto readings = noisy(24h * 9, 60s);
    const BinnedSeries in_time = of(readings);
    // A sensor out of reach for days sends what it kept, in order, when it is back.
    std::rotate(readings.begin() + 15 * 133, readings.begin() + 15 * 333, readings.end());
    const BinnedSeries backlog = of(readings);

    for (Duration t = 0s; t < 24h * 9; t += 15min) EXPECT_EQ(in_time.quarter(at(t)), backlog.quarter(at(t)));
}

TEST(BinnedSeries, AReadingIntoAClosedSpanIsAveragedIn) {
    BinnedSeries series{Detail::five_minutes};
    for (Duration t = 0s; t < 24h * 9; t += 1min) series.add(at(t), 10);

    EXPECT_TRUE(series.add(at(2min), 16));

    EXPECT_NEAR(series.five_minutes(at(0min))->value, 11, 1e-6) << "five tens and a sixteen";
    EXPECT_EQ(series.five_minutes(at(0min))->count, 6u);
    EXPECT_EQ(series.quarter(at(0min))->count, 16u);
}

TEST(BinnedSeries, ForgetsAfterAYearAndSurvivesAClockThatWasYearsBehind) {
    BinnedSeries series{Detail::five_minutes};
    series.add(Timestamp{}, 1);  // 1970
    for (Duration t = 0s; t < 24h * 490; t += 15min) EXPECT_TRUE(series.add(at(t), 2));

    EXPECT_FALSE(series.quarter(at(0s)).has_value());
    EXPECT_FALSE(series.add(at(1h), 3)) << "too far back to be kept";
    EXPECT_EQ(series.quarter(at(24h * 100))->value, 2);
}

}  // namespace
}  // namespace gyled::estimation
