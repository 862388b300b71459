#include "daemon/estimation/series.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <vector>

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;
}

TEST(BinnedSeries, DoesNotMindTheOrderOfArrival) {
    std::vector<std::pair<Duration, double>> readings;
    for (int i = 0; i < 500; ++i) readings.emplace_back(17s * i, i * 0.01);
    BinnedSeries in_order, in_disorder;
    for (const auto& [t, v] : readings) in_order.add(at(t), v);
    std::shuffle(readings.begin(), readings.end(), std::mt19937{3});
    for (const auto& [t, v] : readings) in_disorder.add(at(t), v);

    const auto a = in_order.between(at(0s), at(3h)), b = in_disorder.between(at(0s), at(3h));
    ASSERT_EQ(a.size(), b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        EXPECT_EQ(a[i].index, b[i].index);
        EXPECT_EQ(a[i].count, b[i].count);
        EXPECT_NEAR(a[i].middle(), b[i].middle(), 1e-12);
    }
}

TEST(BinnedSeries, LeavesOutTheExtremesOfABin) {
    BinnedSeries series;
    for (const double v : {20.0, 20.2, 99.0, 20.1, -40.0}) series.add(at(5s), v);

    EXPECT_NEAR(series.between(at(0s), at(1min)).front().middle(), 20.1, 1e-12);
}

TEST(BinnedSeries, GivesTheBinsThatStartWithinTheSpan) {
    BinnedSeries series;
    for (int minute = 0; minute < 10; ++minute) series.add(at(1min * minute), minute);

    EXPECT_EQ(series.between(at(2min), at(5min)).size(), 3u);
    EXPECT_TRUE(series.between(at(5min), at(5min)).empty());
    EXPECT_TRUE(series.between(at(20min), at(30min)).empty());
    EXPECT_EQ(series.last_before(at(4min))->sum, 3);
    EXPECT_EQ(series.last_before(at(0min)), nullptr);
}

TEST(Gather, IsTheMedianOfTheBins) {
    BinnedSeries series;
    EXPECT_FALSE(gather(series.between(at(0s), at(1h))).has_value());
    for (const auto& [minute, v] : {std::pair{0, 1.010}, {1, 1.011}, {2, 1.900}, {3, 1.012}})
        series.add(at(1min * minute), v);

    const auto seen = gather(series.between(at(0s), at(15min)));
    ASSERT_TRUE(seen.has_value());
    EXPECT_NEAR(seen->value, 1.0115, 1e-12) << "one wild bin in four moves the median by half a step";
    EXPECT_EQ(seen->count, 4u);
}

}  // namespace
}  // namespace gyled::estimation
