#include "daemon/estimation/gravity_curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "tests/estimation/gravity_worlds.hpp"

namespace gyled::estimation {
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
}  // namespace gyled::estimation
