/// Pass, fail, or not yet known; a restart in the middle changes nothing.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "tests/cellar/kept.hpp"
#include "tests/cellar/steam_world.hpp"

namespace gyled::cellar {
namespace {

/// An empty vessel of 26 L, shut at 100 kPa, in a room that swings by a degree: an ideal gas. With 21 L of
/// wort in it the same fall is a fifth of the gas.
double gauge_kpa(double hours, double g_per_day, double celsius) {
    const double lost_kpa_per_h = g_per_day / 24 / 44.0095 * 8.314462 * 293.15 / 26;
    return (201.325 - lost_kpa_per_h * hours) * (celsius + 273.15) / 293.15 - 101.325;
}

struct Tested {
    std::vector<std::string> raised;
    std::optional<alarms::TightnessFinding> finding;
    std::string sentence;
};

Tested tested(double g_per_day, double hours, batch::Plan plan, std::optional<double> restart_h = {}) {
    std::mt19937 random{7};
    std::normal_distribution<double> noise{0, 0.1};
    auto core = std::make_unique<Cellar>(harbour());
    Kept kept;
    Tested out;
    const auto take = [&](const Effects& effects) {
        for (const auto& step : effects.transitions)
            if (step.state == alarms::AlarmState::raised) out.raised.push_back(step.rule);
        kept.keep(effects, *core);
    };
    take(core->advance_to(at(0min)));
    take(core->accept(StartBatch{std::move(plan), at(0min), {}}));
    for (Duration t = 1min; t <= base::hours(hours); t += 1min) {
        const double h = static_cast<double>(t.count()) / 3.6e6;
        const double celsius = 20 + std::sin(h * 6.2832 / 24);
        take(core->advance_to(at(t)));
        take(core->accept(reading(Quantity::beer_temperature, t, celsius)));
        take(core->accept(
            reading(Quantity::head_pressure, t, gauge_kpa(h, g_per_day, celsius) + noise(random))));
        if (restart_h && h >= *restart_h) {
            core = std::make_unique<Cellar>(kept.restarted(harbour()));
            restart_h.reset();
        }
    }
    const auto view = core->vessels().at(0);
    out.finding = view.tightness;
    out.sentence = view.sentence;
    return out;
}

batch::Plan empty_vessel() {
    return one_stage(StageKind::tightness, HeadSpace::sealed, {});
}
batch::Plan with_wort_in_it() {
    batch::Plan plan = empty_vessel();
    batch::StagePlan chill;
    chill.kind = StageKind::chill;
    chill.start = at(-1h);
    plan.stages.insert(plan.stages.begin(), chill);
    return plan;
}

TEST(TightnessTest, ATightVesselPassesOvernight) {
    const Tested north = tested(0, 16, empty_vessel());
    EXPECT_THAT(north.raised, testing::ElementsAre("tightness_passed"));
    ASSERT_TRUE(north.finding);
    EXPECT_EQ(north.finding->verdict, alarms::TightnessVerdict::tight);
    EXPECT_THAT(north.sentence, testing::HasSubstr("It is tight."));
}

TEST(TightnessTest, ALeakFails) {
    const Tested north = tested(6, 16, empty_vessel());
    EXPECT_THAT(north.raised, testing::ElementsAre("tightness_failed"));
    ASSERT_TRUE(north.finding);
    EXPECT_LT(north.finding->co2_g_per_day.low, 6);
    EXPECT_GT(north.finding->co2_g_per_day.high, 6);
}

TEST(TightnessTest, NearTheLimitItSaysThatItDoesNotKnow) {
    const Tested north = tested(1.0, 12, empty_vessel());
    EXPECT_THAT(north.raised, testing::IsEmpty());
    EXPECT_THAT(north.sentence, testing::HasSubstr("Not yet known"));
}

TEST(TightnessTest, LiquidThatTakesUpGasProvesNoLeak) {
    const Tested north = tested(40, 16, with_wort_in_it());
    EXPECT_THAT(north.raised, testing::Not(testing::Contains("tightness_failed")));
    EXPECT_THAT(north.sentence, testing::HasSubstr("takes up gas"));
}

TEST(TightnessTest, GoesOnThroughARestart) {
    const Tested uncut = tested(6, 8, empty_vessel()), cut = tested(6, 8, empty_vessel(), 3.5);
    EXPECT_EQ(cut.raised, uncut.raised);
    ASSERT_TRUE(cut.finding && uncut.finding);
    EXPECT_EQ(cut.finding->co2_g_per_day, uncut.finding->co2_g_per_day);
    EXPECT_EQ(cut.finding->over, uncut.finding->over);
}

}  // namespace
}  // namespace gyled::cellar
