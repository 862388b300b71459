/// A few seeds of each family through the real core, held to stated budgets. The full table is
/// gyled-simulate's.
///
/// Statistical tests fail by chance: each budget is wide enough that a sound estimator breaks it in well
/// under one run of a thousand, and seeds are fixed, so a failure is a change, not luck. Failing seeds are
/// printed.

#include <gtest/gtest.h>

#include <iostream>

#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "tests/simulation/score.hpp"

namespace gyled::simulation {
namespace {

constexpr int seeds = 4;

const std::vector<Score>& scores_of(const std::string& scenario) {
    static std::map<std::string, std::vector<Score>> known;
    auto& scores = known[scenario];
    if (scores.empty())
        for (int seed = 101; seed < 101 + seeds; ++seed)
            scores.push_back(score(live_through(
                virtual_vessel::scenario_named(scenario, static_cast<std::uint64_t>(seed)).value())));
    return scores;
}

/// Sum of a figure over the seeds, naming those that have it.
double counted(const std::string& scenario, const std::string& figure) {
    const auto& scores = scores_of(scenario);
    for (std::size_t i = 0; i < scores.size(); ++i)
        if (const auto found = scores[i].figures.find(figure);
            found != scores[i].figures.end() && found->second != 0)
            std::cout << scenario << " seed " << 101 + i << ": " << figure << " " << found->second << '\n';
    return sum_of(scores, figure);
}

TEST(Gravity, IsForecastFromHalfOfTheDropOn) {
    for (const char* scenario : {"ale", "lager"}) {
        SCOPED_TRACE(scenario);
        EXPECT_LT(median_of(scores_of(scenario), "final gravity error at 50 %").value(), 0.0035);
        EXPECT_LT(median_of(scores_of(scenario), "final gravity error at 75 %").value(), 0.0025);
        EXPECT_LT(median_of(scores_of(scenario), "gravity_now error").value(), 0.0012);
        EXPECT_LT(median_of(scores_of(scenario), "final gravity error at 75 %").value(),
                  median_of(scores_of(scenario), "final gravity error at 75 %, last reading").value());
    }
}

TEST(Gravity, IntervalsHoldTheTruthMoreOftenThanNot) {
    // 90 % is meant; four seeds are worth few independent looks, so the budget is 60 %.
    for (const char* scenario : {"ale", "lager", "biased-sensors", "outliers"})
        for (const char* quantity : {"gravity_now", "final_gravity"})
            EXPECT_GT(held_share(scores_of(scenario), quantity).value_or(0), 0.6)
                << scenario << ' ' << quantity;
}

TEST(Facts, AHealthyBatchDoesNotStall) {
    for (const char* scenario : {"ale", "lager"}) EXPECT_EQ(counted(scenario, "false stall"), 0) << scenario;
}

TEST(Facts, AStuckBatchIsNotFinished) {
    EXPECT_EQ(counted("stuck-at-half-way", "finished though stuck"), 0);
}

TEST(Gas, IsKnownAfterAShutInTest) {
    EXPECT_LT(median_of(scores_of("fast-carbonation"), "co2 error after shut-in").value(), 0.10);
    EXPECT_GT(held_share(scores_of("fast-carbonation"), "co2_volumes").value(), 0.7);
}

TEST(Gas, IsKnownWithinItsOwnDoubtOnARegulator) {
    EXPECT_GT(held_share(scores_of("set-and-wait"), "co2_volumes").value(), 0.6);
    EXPECT_LT(median_of(scores_of("set-and-wait"), "co2 width after 3 d on gas").value(), 0.9);
}

TEST(Gas, ALeakIsToldFromAbsorption) {
    EXPECT_EQ(counted("leaking-lid", "leak told"), seeds);
    EXPECT_LT(median_of(scores_of("leaking-lid"), "leak told after, h").value(), 48);
    for (const char* tight : {"set-and-wait", "fast-carbonation", "spunded", "sealed-ferment"})
        EXPECT_EQ(counted(tight, "false leak"), 0) << tight;
}

TEST(Outlook, AWarmedVesselsPressureIsForeseenWithinEightPercent) {
    for (const Score& s : scores_of("chiller-failure")) {
        const auto off = s.figures.find("warm_pressure off, %");
        ASSERT_NE(off, s.figures.end());
        EXPECT_LT(std::abs(off->second), 8);
    }
}

TEST(Alarms, ARisingPressureIsWarnedOfAnHourAhead) {
    // The blow-off of an ale at work is blocked: some ten to thirty kPa an hour.
    for (std::uint64_t seed = 101; seed < 101 + seeds; ++seed) {
        auto scenario = virtual_vessel::ale(seed);
        virtual_vessel::Trouble blocked;
        blocked.kind = virtual_vessel::TroubleKind::shut_vent;
        blocked.start_hours = 40;
        scenario.troubles.push_back(blocked);
        scenario.duration_hours = 5 * 24;
        const Score lived = score(live_through(scenario));
        const auto warned = lived.figures.find("limit warned before, min");
        ASSERT_TRUE(lived.figures.contains("limit reached")) << "seed " << seed;
        ASSERT_NE(warned, lived.figures.end()) << "seed " << seed;
        EXPECT_GT(warned->second, 60) << "seed " << seed;
        std::cout << "seed " << seed << ": warned " << warned->second << " min ahead\n";
    }
    EXPECT_EQ(counted("spunded", "false pressure_rising"), 0);
    EXPECT_EQ(counted("ale", "false pressure_rising"), 0);
}

}  // namespace
}  // namespace gyled::simulation
