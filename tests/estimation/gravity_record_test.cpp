#include "daemon/estimation/gravity/record.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::estimation::gravity {
namespace {

using virtual_vessel::Random;

/// Feeds a bin each quarter of an hour: `truth` is foreseen, `reading` is heard.
GravityRecord heard(double hours, const std::function<double(double)>& truth,
                    const std::function<double(double)>& reading, double fall_per_hour = 0.0) {
    GravityRecord record;
    for (int quarter = 1; quarter <= static_cast<int>(4.0 * hours); ++quarter) {
        const double hour = 0.25 * quarter;
        record.take({hour, hour * ThermalTime{1, 1, 1, 0}, reading(hour), 1}, truth(hour), fall_per_hour);
        if (quarter % 4 == 0) record.close_hour(hour);
    }
    return record;
}

TEST(GravityRecord, KeepsABoundedNumberOfPointsForAnyLengthOfTime) {
    const auto truth = [](double hour) { return 10.0 + 40.0 * std::exp(-hour / 60.0); };
    const GravityRecord record = heard(24.0 * 100.0, truth, truth);

    EXPECT_LE(record.points().size(), GravityRecord::most_points);
    for (std::size_t i = 1; i < record.points().size(); ++i)
        EXPECT_GT(record.points()[i].hour, record.points()[i - 1].hour);
    for (const GravityPoint& point : record.points()) EXPECT_NEAR(point.points, truth(point.hour), 0.6);
}

TEST(GravityRecord, ALoneOutlierIsNotHeard) {
    const auto truth = [](double) { return 20.0; };
    const GravityRecord record =
        heard(48.0, truth, [](double hour) { return std::fmod(hour, 6.0) == 0.0 ? 55.0 : 20.0; });

    for (const GravityPoint& point : record.points()) EXPECT_NEAR(point.points, 20.0, 0.01);
}

TEST(GravityRecord, LearnsTheNoiseWhateverTheFall) {
    Random random{7};
    const auto truth = [](double hour) { return 60.0 - 0.8 * hour; };
    const GravityRecord record = heard(
        48.0, truth, [&](double hour) { return truth(hour) + 0.7 * random.normal(); }, 0.8);

    EXPECT_NEAR(record.bin_noise(), 0.7, 0.25);
}

TEST(GravityRecord, TellsTheSlopeWithItsDoubt) {
    Random random{8};
    const auto truth = [](double hour) { return 40.0 - 0.05 * hour; };
    const GravityRecord record = heard(
        72.0, truth, [&](double hour) { return truth(hour) + 0.5 * random.normal(); }, 0.05);

    const auto trend = record.trend(48.0, 72.0);

    EXPECT_NEAR(trend.points_per_day, -1.2, 3.0 * trend.sigma);
    EXPECT_GT(trend.sigma, 0.05);
    EXPECT_LT(trend.sigma, 0.5);
    EXPECT_EQ(record.trend(500.0, 600.0).count, 0);
    EXPECT_EQ(record.level(500.0, 600.0).count, 0);
}

TEST(GravityRecord, AFloatThatIsNoisyOnlyWhileItFermentsIsLifted) {
    GravityRecord record;
    Random random{9};
    for (int quarter = 1; quarter <= 4 * 144; ++quarter) {
        const double hour = 0.25 * quarter;
        const bool brisk = hour > 36.0 && hour < 84.0;
        const double noise = brisk ? 1.2 : 0.4;
        record.take({hour, {}, 30.0 + noise * random.normal(), 1}, 30.0, brisk ? 0.8 : 0.0);
    }
    EXPECT_NEAR(record.lift_h(), 0.9 * std::sqrt(1.2 * 1.2 - 0.4 * 0.4) / 0.8, 0.4);

    GravityRecord calm;
    for (int quarter = 1; quarter <= 4 * 144; ++quarter) {
        const double hour = 0.25 * quarter;
        calm.take({hour, {}, 30.0 + 0.5 * random.normal(), 1}, 30.0, hour > 36.0 && hour < 84.0 ? 0.8 : 0.0);
    }
    EXPECT_LT(calm.lift_h(), 0.4);
}

}  // namespace
}  // namespace gyled::estimation::gravity
