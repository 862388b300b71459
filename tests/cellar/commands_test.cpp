#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

Cellar open_cellar() {
    Cellar core{harbour()};
    (void)core.advance_to(at(0h));
    return core;
}

TEST(Batch, StandsInItsFirstStageOnceStarted) {
    Cellar core = open_cellar();

    const Effects effects = core.accept(StartBatch{mild(), at(0h), {}});

    ASSERT_EQ(effects.batches.size(), 1u);
    EXPECT_EQ(effects.batches.front().id, "harbour-mild-2026-03-01");
    const auto view = core.vessel("north");
    EXPECT_EQ(view->batch->stage_index, 0u);
    EXPECT_EQ(view->batch->next_stage, "crash");
}

TEST(Batch, IsRefusedInAnOccupiedVesselAndChangesNothing) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});

    const Effects effects = core.accept(StartBatch{mild(), at(1h), {}});

    EXPECT_THAT(effects.problems, ElementsAre(HasSubstr("Harbour Mild")));
    EXPECT_TRUE(effects.batches.empty());
}

TEST(Batch, IsRefusedWhereItDoesNotFit) {
    Cellar core = open_cellar();
    batch::Plan too_much = mild();
    too_much.volume_l = 40;

    EXPECT_THAT(core.accept(StartBatch{too_much, at(0h), {}}).problems, ElementsAre(HasSubstr("26.0 L")));
    too_much.vessel = "nowhere";
    EXPECT_THAT(core.accept(StartBatch{too_much, at(0h), {}}).problems, ElementsAre(HasSubstr("nowhere")));
    EXPECT_FALSE(core.vessel("north")->batch);
}

TEST(Stage, FollowsByHandAndEndsWithThePlan) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    (void)core.advance_to(at(1h));

    const Effects next = core.accept(EnterStage{"north", at(1h), {}, "the yeast is asleep"});
    const Effects beyond = core.accept(EnterStage{"north", at(1h), {}, "again"});

    ASSERT_EQ(next.batches.size(), 1u);
    EXPECT_EQ(next.batches.front().stages.back().why, "the yeast is asleep");
    EXPECT_EQ(core.vessel("north")->batch->stage_index, 1u);
    EXPECT_THAT(beyond.problems, ElementsAre(HasSubstr("2 stages")));
}

TEST(Stage, WithAPlannedStartBeginsByItself) {
    Cellar core = open_cellar();
    batch::Plan plan = mild();
    plan.stages[1].start = at(5h);
    (void)core.accept(StartBatch{plan, at(0h), {}});

    (void)core.advance_to(at(4h));
    EXPECT_EQ(core.vessel("north")->batch->stage_index, 0u);
    (void)core.advance_to(at(5h) + 1min);
    EXPECT_EQ(core.vessel("north")->batch->stage_index, 1u);
}

TEST(Stage, TellsOnceThatItsTimeInTheBandIsOver) {
    Cellar core = open_cellar();
    batch::Plan plan = mild();
    plan.stages[0].kind = StageKind::mash;
    plan.stages[0].temperature_c = Band{66, 68};
    plan.stages[0].end = {batch::StageEnd::When::time_in_band, std::nullopt, Duration{60min}};
    (void)core.accept(StartBatch{plan, at(0h), {}});

    std::vector<Timestamp> told;
    for (Duration t = 1min; t <= 120min; t += 1min) {
        Effects effects = core.advance_to(at(t));
        // half an hour in the band, half an hour too cool, then in the band again
        const bool cool = t > 30min && t <= 60min;
        effects.append(core.accept(reading(Quantity::beer_temperature, t, cool ? 63.0 : 67.0)));
        for (const auto& notice : effects.notices)
            if (notice.rule == "stage_end") told.push_back(notice.at);
    }

    ASSERT_EQ(told.size(), 1u);
    EXPECT_NEAR(base::hours_between(at(0h), told.front()), 1.5, 0.1) << "only minutes in the band count";
}

TEST(Pressure, AbsoluteReadingsBecomeGaugeAtTheSitesElevation) {
    CellarSpec spec = harbour();
    spec.elevation_m = 1500;  // 84.56 kPa, standard atmosphere (ICAO Doc 7488)
    Cellar core{spec};
    (void)core.advance_to(at(0h));
    sensors::Reading r = reading(Quantity::head_pressure, 1min, 84.56 + 50);
    r.absolute = true;

    const Effects effects = core.accept(r);

    ASSERT_EQ(effects.readings.size(), 1u);
    EXPECT_NEAR(effects.readings.front().value, 50, 0.02);
}

TEST(Pressure, FollowsABarometer) {
    Cellar core = open_cellar();
    (void)core.accept(reading(Quantity::barometric_pressure, 1min, 98.0));
    sensors::Reading r = reading(Quantity::head_pressure, 2min, 148.0);
    r.absolute = true;

    EXPECT_NEAR(core.accept(r).readings.front().value, 50, 1e-9);
}

TEST(Pressure, RingsAtOnceNearTheLowestRatedPart) {
    Cellar core = open_cellar();
    (void)core.advance_to(at(1min));

    const Effects effects = core.accept(reading(Quantity::head_pressure, 1min, 163));

    ASSERT_EQ(effects.transitions.size(), 1u);
    EXPECT_EQ(effects.transitions.front().rule, "pressure_near_limit");
    EXPECT_EQ(effects.transitions.front().priority, alarms::Priority::high) << "above 90 % of 180 kPa";
    ASSERT_EQ(effects.notices.size(), 1u);
    EXPECT_THAT(effects.notices.front().text, HasSubstr("relief"));
}

TEST(Pressure, BeyondItsSensorsRangeStillRings) {
    Cellar core = open_cellar();
    (void)core.advance_to(at(1min));
    sensors::Reading r = reading(Quantity::head_pressure, 1min, 310);
    r.verdict = sensors::Verdict::out_of_range;

    const Effects effects = core.accept(r);

    ASSERT_FALSE(effects.notices.empty());
    EXPECT_EQ(effects.notices.front().priority, alarms::Priority::critical);
}

TEST(Retained, ValuesWithoutATimeAreNoNews) {
    Cellar core = open_cellar();
    sensors::Reading r = reading(Quantity::head_pressure, 1min, 400);
    r.verdict = sensors::Verdict::last_known;

    const Effects effects = core.accept(r);

    EXPECT_TRUE(effects.empty());
    EXPECT_FALSE(core.vessel("north")->latest.contains(Quantity::head_pressure));
}

TEST(HandMeasurement, CorrectsABiasedFloat) {
    Cellar biased = open_cellar(), corrected = open_cellar();
    for (Cellar* core : {&biased, &corrected}) {
        batch::Plan plan = mild();
        plan.original_gravity.reset();
        (void)core->accept(StartBatch{plan, at(0h), {}});
        for (sensors::Reading r : an_ale(0h, 60h)) {
            if (r.quantity == Quantity::gravity) r.value += 0.004;  // the float reads high
            if (r.at > core->now()) (void)core->advance_to(r.at);
            (void)core->accept(r);
        }
    }
    const double truth = 1.010 + 0.030 / (1 + std::exp((60.0 - 40) / 9));
    (void)corrected.accept(Measure{"north", {Quantity::gravity, truth, at(60h), "hydrometer, degassed"}});
    (void)biased.advance_to(at(61h));
    (void)corrected.advance_to(at(61h));

    const auto off = [&](const Cellar& core) {
        return std::abs(core.vessel("north")->estimates.at(Quantity::gravity_now).value - truth);
    };
    EXPECT_LT(off(corrected), 0.0015);
    EXPECT_LT(off(corrected), off(biased));
}

TEST(Commands, ForNobodyAreRefusedInWords) {
    Cellar core = open_cellar();

    EXPECT_FALSE(core.accept(EnterStage{"north", at(0h), {}, ""}).problems.empty());
    EXPECT_FALSE(core.accept(EndBatch{"north", at(0h), ""}).problems.empty());
    EXPECT_FALSE(core.accept(Measure{"north", {Quantity::gravity, 1.01, at(0h), ""}}).problems.empty());
    EXPECT_FALSE(core.accept(Acknowledge{"no/such/alarm", at(0h)}).problems.empty());
    EXPECT_FALSE(core.accept(Shelve{"no/such/alarm", at(0h), at(1h), ""}).problems.empty());
}

TEST(Silence, RingsOnceASensorHasBeenQuietTooLong) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    (void)core.accept(reading(Quantity::head_pressure, 0min, 1));
    (void)core.accept(reading(Quantity::beer_temperature, 0min, 19.5));
    (void)core.accept(reading(Quantity::gravity, 0min, 1.040));

    int rings = 0;
    for (Duration t = 1min; t <= 3h; t += 1min)
        for (const auto& transition : core.advance_to(at(t)).transitions)
            if (transition.rule == "sensor_silent" && transition.state == alarms::State::raised) ++rings;

    EXPECT_EQ(rings, 3) << "each of the three, once";
}

}  // namespace
}  // namespace gyled::cellar
