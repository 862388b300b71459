/// The guards keep silent through healthy batches: from strike water to the glass, spunded, on gas, served.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>

#include "daemon/alarms/rules.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "tests/simulation/world.hpp"

namespace gyled::simulation {
namespace {

constexpr std::array<std::string_view, 10> guards{
    "steam_collapse",       "vacuum_ahead",    "caustic_on_co2",  "freezing",
    "head_space_small",     "gush_risk",       "regulator_creep", "co2_in_room",
    "heating_without_rise", "tightness_failed"};

class HealthyBatch : public testing::TestWithParam<const char*> {};

TEST_P(HealthyBatch, RingsNoGuard) {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        const auto scenario = virtual_vessel::scenario_named(GetParam(), seed);
        ASSERT_TRUE(scenario);
        const World world = live_through(*scenario);
        for (const alarms::Transition& step : world.alarms)
            EXPECT_FALSE(std::ranges::count(guards, step.rule) > 0)
                << "seed " << seed << ": " << base::to_rfc3339(step.at) << ' ' << step.text;
    }
}

INSTANTIATE_TEST_SUITE_P(Simulation, HealthyBatch,
                         testing::Values("brew-day", "whole-batch", "ale", "spunded", "sealed-ferment",
                                         "set-and-wait", "fast-carbonation", "biased-sensors", "outliers"),
                         [](const auto& one) {
                             std::string called{one.param};
                             std::ranges::replace(called, '-', '_');
                             return called;
                         });

/// The element fails while the strike liquor is on its way: somebody must know before the morning is gone.
TEST(HeatThatGoesNowhere, IsToldInABrewDayWhoseElementFails) {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        auto scenario = *virtual_vessel::scenario_named("brew-day", seed);
        scenario.troubles = {{.kind = virtual_vessel::TroubleKind::heater_failure, .start_hours = 0.2}};
        const World world = live_through(scenario);
        const auto told = std::ranges::find_if(world.alarms, [](const alarms::Transition& step) {
            return step.rule == "heating_without_rise" && step.state == alarms::AlarmState::raised;
        });
        ASSERT_NE(told, world.alarms.end()) << "seed " << seed;
        EXPECT_LT(base::hours_between(scenario.begin, told->at), 1.0) << "seed " << seed;
    }
}

TEST(BoilOver, IsToldOnceInABrewDay) {
    const World world = live_through(*virtual_vessel::scenario_named("brew-day", 1));
    const auto told = std::ranges::count_if(world.alarms, [](const alarms::Transition& step) {
        return step.rule == "boil_over_near" && step.state == alarms::AlarmState::raised;
    });
    EXPECT_EQ(told, 1);
}

}  // namespace
}  // namespace gyled::simulation
