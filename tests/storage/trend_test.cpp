#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>
#include <random>

#include "tests/storage/cellar_notes.hpp"

namespace gyled::storage {
namespace {

using testing::ElementsAre;

/// Nine days of a probe that sleeps irregularly: the truth that trends are held to.
std::vector<cellar::ReadingPoint> nine_days() {
    std::vector<cellar::ReadingPoint> out;
    std::mt19937 random{38};
    std::uniform_int_distribution<int> nap_ms{1, 400'000};
    std::normal_distribution<double> noise{0, 0.4};
    Duration later = 0ms;
    while (later < 216h) {
        later += Duration{nap_ms(random)};
        out.push_back(temperature_reading(
            later, 19 + 2 * std::sin(base::hours_between(pitched(), pitched(later)) / 9) + noise(random)));
    }
    return out;
}

/// Buckets computed the plain way: `width` from `start`, over readings in [from, to).
Trend by_hand(const std::vector<cellar::ReadingPoint>& points, Timestamp start, Duration width,
              Timestamp from, Timestamp to) {
    std::map<long long, std::vector<double>> buckets;
    for (const auto& point : points)
        if (point.at >= from && point.at < to) buckets[(point.at - start) / width].push_back(point.value);
    Trend out;
    for (const auto& [number, values] : buckets) {
        double sum = 0, low = values[0], high = values[0];
        for (const double value : values) {
            sum += value;
            low = std::min(low, value);
            high = std::max(high, value);
        }
        out.at.push_back(start + number * width);
        out.value.push_back(sum / static_cast<double>(values.size()));
        out.low.push_back(low);
        out.high.push_back(high);
    }
    return out;
}

void expect_same(const Trend& got, const Trend& expected) {
    ASSERT_EQ(got.at, expected.at);
    EXPECT_EQ(got.low, expected.low);
    EXPECT_EQ(got.high, expected.high);
    for (std::size_t i = 0; i < got.value.size(); ++i)
        ASSERT_NEAR(got.value[i], expected.value[i], 1e-9) << "bucket " << i;
}

class TrendOfNineDays : public testing::Test {
protected:
    TrendOfNineDays() : points{nine_days()}, store{scratch.file()} {
        // in groups of odd sizes, and out of order, as bulk uploads are
        std::vector<cellar::ReadingPoint> shuffled = points;
        std::shuffle(shuffled.begin(), shuffled.end(), std::mt19937{7});
        for (std::size_t i = 0; i < shuffled.size(); i += 37)
            store.write(readings({shuffled.begin() + static_cast<long>(i),
                                  shuffled.begin() + static_cast<long>(std::min(i + 37, shuffled.size()))}));
    }
    Scratch scratch;
    std::vector<cellar::ReadingPoint> points;
    Store store;
};

TEST_F(TrendOfNineDays, OverHoursEqualsTheReadingsThemselves) {
    for (const std::size_t buckets : {48U, 100U, 600U}) {
        const Timestamp from = pitched(30h + 17min + 3ms), to = pitched(34h);
        const Duration width{((to - from).count() + static_cast<long long>(buckets) - 1) /
                             static_cast<long long>(buckets)};
        expect_same(store.trend("north", Quantity::beer_temperature, from, to, buckets),
                    by_hand(points, from, width, from, to));
    }
}

TEST_F(TrendOfNineDays, OverDaysEqualsTheReadingsByQuarterHours) {
    const Timestamp from = pitched(0h), to = pitched(216h);  // both on a full quarter of an hour
    expect_same(store.trend("north", Quantity::beer_temperature, from, to, 864),
                by_hand(points, from, 15min, from, to));
    expect_same(store.trend("north", Quantity::beer_temperature, from, to, 600),
                by_hand(points, from, 30min, from, to));
    expect_same(store.trend("north", Quantity::beer_temperature, from, to, 1),
                by_hand(points, from, 216h, from, to));
}

TEST_F(TrendOfNineDays, NeverHasMoreBucketsThanAskedForAndRises) {
    std::mt19937 random{11};
    std::uniform_int_distribution<long long> moment{0, Duration{240h}.count()};
    std::uniform_int_distribution<std::size_t> how_many{1, 2000};
    for (int i = 0; i < 300; ++i) {
        const Timestamp a = pitched(Duration{moment(random)}), b = pitched(Duration{moment(random)});
        const std::size_t points_max = how_many(random);
        const Trend trend =
            store.trend("north", Quantity::beer_temperature, std::min(a, b), std::max(a, b), points_max);
        ASSERT_LE(trend.at.size(), points_max);
        ASSERT_TRUE(std::is_sorted(trend.at.begin(), trend.at.end()));
        for (std::size_t k = 0; k < trend.at.size(); ++k) {
            ASSERT_LE(trend.low[k], trend.value[k] + 1e-9);
            ASSERT_LE(trend.value[k], trend.high[k] + 1e-9);
        }
    }
}

TEST_F(TrendOfNineDays, KnowsNothingOfOtherVesselsAndQuantities) {
    EXPECT_EQ(store.trend("south", Quantity::beer_temperature, pitched(), pitched(216h), 100), Trend{});
    EXPECT_EQ(store.trend("north", Quantity::gravity, pitched(), pitched(216h), 100), Trend{});
    EXPECT_EQ(store.trend("north", Quantity::gravity_now, pitched(), pitched(216h), 100), Trend{});
}

TEST_F(TrendOfNineDays, OfNonsenseIsEmpty) {
    EXPECT_EQ(store.trend("north", Quantity::beer_temperature, pitched(5h), pitched(5h), 10), Trend{});
    EXPECT_EQ(store.trend("north", Quantity::beer_temperature, pitched(6h), pitched(5h), 10), Trend{});
    EXPECT_EQ(store.trend("north", Quantity::beer_temperature, pitched(0h), pitched(5h), 0), Trend{});
    EXPECT_EQ(store.trend("north", static_cast<Quantity>(200), pitched(0h), pitched(5h), 10), Trend{});
}

TEST_F(TrendOfNineDays, StaysWhenTheRawReadingsAreForgotten) {
    const Trend before = store.trend("north", Quantity::beer_temperature, pitched(), pitched(216h), 864);

    std::size_t gone = 0;
    for (std::size_t some = 1; some > 0; gone += some) some = store.prune(pitched(108h), 500);

    EXPECT_GT(gone, 1000U);
    EXPECT_EQ(store.trend("north", Quantity::beer_temperature, pitched(), pitched(216h), 864), before);
    EXPECT_EQ(all_readings(store).front().at >= pitched(108h), true);
    const Trend an_old_hour =
        store.trend("north", Quantity::beer_temperature, pitched(10h), pitched(11h), 60);
    expect_same(an_old_hour, by_hand(points, pitched(10h), 15min, pitched(10h), pitched(11h)));
}

TEST(TrendOfBeliefs, IsTheMeanWithTheWidestInterval) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(estimates({belief(Quantity::gravity_now, 0min, {1.020, 1.019, 1.021}),
                           belief(Quantity::gravity_now, 15min, {1.018, 1.016, 1.0205}),
                           belief(Quantity::gravity_now, 60min, {1.014, 1.013, 1.015})}));

    const Trend trend = store.trend("north", Quantity::gravity_now, pitched(), pitched(2h), 2);

    EXPECT_THAT(trend.at, ElementsAre(pitched(), pitched(1h)));
    EXPECT_DOUBLE_EQ(trend.value.at(0), 1.019);
    EXPECT_THAT(trend.low, ElementsAre(1.016, 1.013));
    EXPECT_THAT(trend.high, ElementsAre(1.021, 1.015));
}

TEST(TrendOfBeliefs, ShowsWhenNoEndIsInSight) {
    Scratch scratch;
    Store store{scratch.file()};
    const double finish = base::unix_seconds(pitched(90h));
    const double never = std::numeric_limits<double>::infinity();
    store.write(estimates({belief(Quantity::finish_time, 1h, {finish, finish - 3600, never})}));

    const Trend trend = store.trend("north", Quantity::finish_time, pitched(), pitched(2h), 2);

    EXPECT_THAT(trend.value, ElementsAre(finish));
    EXPECT_THAT(trend.high, ElementsAre(never));
}

TEST(TrendOfBeliefs, TakesTheLastWordAndNoNonsense) {
    Scratch scratch;
    Store store{scratch.file()};
    const double nan = std::numeric_limits<double>::quiet_NaN(),
                 infinity = std::numeric_limits<double>::infinity();
    store.write(estimates({belief(Quantity::co2_volumes, 1h, {0.9, 0.8, 1.0})}));
    store.write(
        estimates({belief(Quantity::co2_volumes, 1h, {0.95, 0.9, 1.0}),  // a late reading changed our mind
                   belief(Quantity::co2_volumes, 2h, {nan, 0.8, 1.0}),
                   belief(Quantity::co2_volumes, 3h, {0.9, nan, 1.0}),
                   belief(Quantity::co2_volumes, 4h, {0.9, 0.8, nan}),
                   belief(Quantity::co2_volumes, 5h, {0.9, -infinity, 1}),
                   belief(Quantity::co2_volumes, 6h, {infinity, 0.8, infinity})}));

    EXPECT_THAT(store.trend("north", Quantity::co2_volumes, pitched(), pitched(10h), 10).value,
                ElementsAre(0.95));
}

TEST(TrendOfBeliefs, IsThinnedToOneAnHourWhenOld) {
    Scratch scratch;
    Store store{scratch.file()};
    for (int quarter = 0; quarter < 40; ++quarter)
        store.write(
            estimates({belief(Quantity::gravity_now, quarter * 15min, {1.0 + quarter * 0.0001, 0.9, 1.1})}));

    while (store.prune(pitched(5h + 20min)) > 0) {
    }

    const Trend left = store.trend("north", Quantity::gravity_now, pitched(), pitched(10h), 1000);
    // five whole hours keep their last quarter, five hours keep all four
    ASSERT_EQ(left.at.size(), 5U + 20U);
    EXPECT_DOUBLE_EQ(left.value.at(0), 1.0003);
    EXPECT_DOUBLE_EQ(left.value.at(5), 1.0020);
}

}  // namespace
}  // namespace gyled::storage
