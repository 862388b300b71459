#include "daemon/estimation/gravity/curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "sensors/virtual_vessel/plant/random.hpp"
#include "tests/estimation/gravity_worlds.hpp"

namespace gyled::estimation::gravity {
namespace {

using base::Quantity;
using worlds::World;

GravityCurve lived_through(const World& world, std::size_t quarters) {
    GravityCurve curve{world.prior, world.pitched};
    for (std::size_t i = 0; i < quarters && i < world.quarters.size(); ++i)
        curve.step(world.time_of(i), world.quarters[i].beer_c, world.quarters[i].bin,
                   world.quarters[i].stage);
    return curve;
}

TEST(GravityCurve, FollowsAnAleFromPitchingToItsEnd) {
    const World world = worlds::foreign("ale", 8);

    const GravityCurve curve = lived_through(world, world.quarters.size());

    EXPECT_TRUE(curve.is_started());
    EXPECT_TRUE(curve.is_finished());
    EXPECT_NEAR(curve.estimates().at(Quantity::final_gravity).value, world.terminal_sg, 0.0025);
    EXPECT_FALSE(curve.estimates().contains(Quantity::finish_time)) << "it is over";
}

TEST(GravityCurve, KnowsNothingBeforeAnybodyCould) {
    GravityPrior prior;
    const GravityCurve curve{prior, base::from_unix_seconds(1e9)};

    EXPECT_TRUE(curve.estimates().empty());
    EXPECT_FALSE(curve.residual_co2_potential());
    EXPECT_FALSE(curve.co2_volumes_per_hour());
    EXPECT_FALSE(curve.learned());
    EXPECT_TRUE(curve.facts().empty());
}

TEST(GravityCurve, IsAValueACopyGoesItsOwnWayAndTheSameWay) {
    const World world = worlds::foreign("ale", 4);
    GravityCurve one = lived_through(world, 200);
    GravityCurve other = one;

    for (std::size_t i = 200; i < 400; ++i) {
        const auto& quarter = world.quarters[i];
        one.step(world.time_of(i), quarter.beer_c, quarter.bin, quarter.stage);
    }
    EXPECT_NE(one.estimates(), other.estimates());
    for (std::size_t i = 200; i < 400; ++i) {
        const auto& quarter = world.quarters[i];
        other.step(world.time_of(i), quarter.beer_c, quarter.bin, quarter.stage);
    }

    EXPECT_EQ(one.estimates(), other.estimates());
}

TEST(GravityCurve, NonsenseChangesNothing) {
    const World world = worlds::foreign("ale", 5);
    GravityCurve curve = lived_through(world, 240);
    GravityCurve plain = curve;
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const auto at = world.time_of(240);

    curve.step(world.time_of(3), 20.0, GravityBin{1.2, 4}, base::StageKind::ferment);
    curve.measure(world.time_of(239), nan);
    curve.measure(world.time_of(239), 1.010, -1.0);
    curve.measure(world.time_of(239), 0.0);
    curve.step(at, nan, GravityBin{nan, 4}, base::StageKind::ferment);
    plain.step(at, {}, {}, base::StageKind::ferment);

    EXPECT_EQ(curve.estimates(), plain.estimates());
}

/// An ale at high krausen falls by half a point an hour (common practice: 50 points within three to five
/// days): who believes what was so an hour ago is off by that much, always to the same side.
TEST(GravityCurve, GoesOnFallingBetweenTwoFits) {
    const World world = worlds::foreign("ale", 8);
    const std::size_t half_way = static_cast<std::size_t>(4 * world.hour_of_share(0.5));
    GravityCurve curve = lived_through(world, half_way);
    for (std::size_t i = half_way; i < half_way + 12; ++i) {
        const auto before = curve.estimates();
        const auto& quarter = world.quarters[i];
        curve.step(world.time_of(i), quarter.beer_c, quarter.bin, quarter.stage);
        EXPECT_NE(curve.estimates().at(Quantity::gravity_now), before.at(Quantity::gravity_now));
        EXPECT_NE(curve.estimates().at(Quantity::apparent_attenuation),
                  before.at(Quantity::apparent_attenuation));
    }
}

TEST(GravityCurve, AForcedFermentSaysWhereItEnds) {
    const World world = worlds::foreign("ale", 6);
    GravityCurve curve = lived_through(world, static_cast<std::size_t>(4 * world.hour_of_share(0.4)));
    const auto width = [&] {
        const auto end = curve.estimates().at(Quantity::final_gravity);
        return end.high - end.low;
    };
    const double before = width();
    const GravityCurve untold = curve;
    for (const double nonsense : {std::numeric_limits<double>::quiet_NaN(), 0.0, -1.01, 1010.0})
        curve.measure_forced(world.time_of(0), nonsense);
    EXPECT_EQ(curve.estimates(), untold.estimates());

    // The sample ends where the beer does, or a little below (common practice).
    curve.measure_forced(world.time_of(0), world.terminal_sg - 0.0005);

    EXPECT_LT(width(), 0.6 * before);
    EXPECT_NEAR(curve.estimates().at(Quantity::final_gravity).value, world.terminal_sg, 0.001);
}

/// Ale shows itself within a day, and whoever waits for three pitches again (common practice).
TEST(GravityCurve, YeastThatDoesNotComeIsTold) {
    const auto pitched = base::from_unix_seconds(1'772'388'000);
    GravityPrior prior;
    prior.original_gravity = 1.050;
    GravityCurve curve{prior, pitched};
    virtual_vessel::Random random{1};
    const auto live = [&](int from_quarter, int to_quarter, double fall_per_h) {
        for (int i = from_quarter; i < to_quarter; ++i) {
            const double sg = 1.051 - 0.001 * (fall_per_h * 0.25 * (i - from_quarter) + random.normal());
            curve.step(pitched + std::chrono::minutes{15} * (i + 1), 20.0, GravityBin{sg, 1},
                       base::StageKind::ferment);
        }
    };

    live(0, 4 * 30, 0);
    EXPECT_TRUE(curve.facts().empty()) << "a day is nothing unusual";
    live(4 * 30, 4 * 72, 0);
    ASSERT_EQ(curve.facts().size(), 1U);
    EXPECT_EQ(curve.facts()[0].kind, FactKind::fermentation_overdue);
    EXPECT_FALSE(curve.facts()[0].revoked);
    live(4 * 72, 4 * 110, 0.4);

    ASSERT_GE(curve.facts().size(), 2U);
    EXPECT_TRUE(curve.facts()[0].revoked) << "it came after all";
    EXPECT_EQ(curve.facts()[1].kind, FactKind::fermentation_started);
}

TEST(GravityCurve, AHandMeasurementTakesTheSensorsBiasAway) {
    World world = worlds::foreign("ale", 6);
    world.prior.original_gravity.reset();
    for (auto& quarter : world.quarters)
        if (quarter.bin) quarter.bin->median_sg += 0.005;
    GravityCurve curve = lived_through(world, 300);
    const double truth = world.quarters[299].true_sg;
    const auto before = curve.estimates().at(Quantity::gravity_now);

    curve.measure(world.time_of(299), truth, 0.0005);

    const auto after = curve.estimates().at(Quantity::gravity_now);
    EXPECT_LT(after.high - after.low, 0.5 * (before.high - before.low));
    EXPECT_NEAR(after.value, truth, 0.001);
}

}  // namespace
}  // namespace gyled::estimation::gravity
