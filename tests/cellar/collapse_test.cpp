/// A vessel shut hot and cooled is told of before its gauge shows it, whatever stage stands in the plan; an
/// open one never.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/steam_world.hpp"

namespace gyled::cellar {
namespace {

TEST(SteamCollapse, AVesselClosedByPlanIsToldOfBeforeItCools) {
    const SteamWorld world;
    const SteamTold told = live(world, one_stage(StageKind::chill, HeadSpace::sealed, 19), 10s, 1);

    EXPECT_LT(told.told_min, world.cools_from_min);
    const auto step = std::ranges::find(told.raised, "steam_collapse", &alarms::Transition::rule);
    ASSERT_NE(step, told.raised.end());
    EXPECT_EQ(step->priority, alarms::Priority::critical);
    // Own balance on the steam tables: 85.6 kPa short of the air outside with air above the wort, 99 with
    // steam alone.
    EXPECT_THAT(step->text, testing::HasSubstr("-0.86 bar"));
    EXPECT_THAT(step->text, testing::HasSubstr("-0.99 bar"));
}

struct Shut {
    const char* what;
    std::optional<batch::Plan> plan;
    double from_min;
    double k_per_min;
};

class ShutAgainstThePlan : public testing::TestWithParam<Shut> {};

TEST_P(ShutAgainstThePlan, IsToldOfByItsGaugeBeforeMinusFive) {
    for (unsigned seed = 1; seed <= 20; ++seed) {
        SteamWorld world;
        world.shut_from_min = GetParam().from_min;
        world.k_per_min = GetParam().k_per_min;
        const SteamTold told = live(world, GetParam().plan, 10s, seed);

        ASSERT_LT(told.minus_5_kpa_min, 90) << "a world that proves something";
        EXPECT_LT(told.told_min, told.minus_5_kpa_min) << "seed " << seed;
        EXPECT_GE(told.told_min, world.shut_from_min) << "seed " << seed;
    }
}

INSTANTIATE_TEST_SUITE_P(
    OnAnyStage, ShutAgainstThePlan,
    testing::Values(Shut{"chill", one_stage(StageKind::chill, HeadSpace::vented, 19), 20, 2},
                    Shut{"chill_shut_on_the_way", one_stage(StageKind::chill, HeadSpace::vented, 19), 30, 2},
                    Shut{"slow_chill", one_stage(StageKind::chill, HeadSpace::vented, 19), 20, 0.5},
                    Shut{"no_batch", std::nullopt, 20, 2},
                    Shut{"hot_rinse_then_cold", one_stage(StageKind::rinse, HeadSpace::vented, {}), 20, 4},
                    Shut{"hot_caustic_drained", one_stage(StageKind::clean, HeadSpace::vented, {}), 20, 1}),
    [](const auto& one) { return std::string{one.param.what}; });

TEST(SteamCollapse, AnOpenVentRingsNothingThroughSixtyDegrees) {
    for (unsigned seed = 1; seed <= 20; ++seed)
        for (const double k_per_min : {0.3, 1.0, 3.0})
            for (const auto& plan : {std::optional{one_stage(StageKind::chill, HeadSpace::vented, 19)},
                                     std::optional<batch::Plan>{}}) {
                SteamWorld world;
                world.k_per_min = k_per_min;
                world.shut_from_min = INFINITY;
                world.bias_kpa = seed % 2 == 0 ? -3 : 2;  // weather on an absolute transducer
                const SteamTold told = live(world, plan, 10s, seed, 300);
                ASSERT_LT(world.celsius(300), 50) << "it cools";
                // The rule on the raw gauge may speak: with -3 kPa of weather it is 1 kPa from it.
                for (const alarms::Transition& step : told.raised)
                    EXPECT_EQ(step.rule, "pressure_below_vacuum_limit")
                        << "seed " << seed << ", " << k_per_min << " K/min: " << step.text;
            }
}

}  // namespace
}  // namespace gyled::cellar
