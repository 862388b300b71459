#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>
#include <set>

#include "tests/cellar/harbour.hpp"
#include "tests/cellar/kept.hpp"

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
    EXPECT_EQ(effects.batches.front().id, "north-harbour-mild-2026-03-01-180000");
    const auto view = core.vessel("north");
    EXPECT_EQ(view->batch->stage_index, 0u);
    EXPECT_EQ(view->batch->next_stage, StageKind::crash);
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
    r.quality = sensors::Quality::out_of_range;

    const Effects effects = core.accept(r);

    ASSERT_FALSE(effects.notices.empty());
    EXPECT_EQ(effects.notices.front().priority, alarms::Priority::critical);
}

TEST(Retained, ValuesWithoutATimeAreNoNews) {
    Cellar core = open_cellar();
    sensors::Reading r = reading(Quantity::head_pressure, 1min, 400);
    r.quality = sensors::Quality::last_known;

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
    for (Cellar* core : {&biased, &corrected}) (void)core->advance_to(at(60h));
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
            if (transition.rule == "sensor_silent" && transition.state == alarms::AlarmState::raised) ++rings;

    EXPECT_EQ(rings, 3) << "each of the three, once";
}

CellarSpec two_vessels() {
    CellarSpec spec = harbour();
    batch::VesselSpec south = spec.vessels.front();
    south.id = "south";
    south.name = "South";
    spec.vessels.push_back(south);
    return spec;
}

TEST(BatchId, DiffersBetweenVesselsAndBetweenBatchesOfOneDay) {
    Cellar core{two_vessels()};
    (void)core.advance_to(at(0h));
    batch::Plan there = mild();
    there.vessel = "south";
    std::set<std::string> ids;

    ids.insert(core.accept(StartBatch{mild(), at(0h), {}}).batches.front().id);
    ids.insert(core.accept(StartBatch{there, at(0h), {}}).batches.front().id);
    (void)core.accept(EndBatch{"north", at(0h), "wrong file"});
    ids.insert(core.accept(StartBatch{mild(), at(0h), {}}).batches.front().id);
    (void)core.accept(EndBatch{"north", at(0h), "wrong again"});
    (void)core.advance_to(at(2h));
    ids.insert(core.accept(StartBatch{mild(), at(2h), {}}).batches.front().id);

    EXPECT_EQ(ids.size(), 4u);
}

TEST(BrokerLost, CanBeShelvedLikeAnyOther) {
    Cellar core = open_cellar();
    (void)core.accept(BrokerState{false, at(0h)});
    const Effects lost = core.advance_to(at(10min));
    ASSERT_EQ(lost.transitions.size(), 1u);

    const Effects shelved =
        core.accept(Shelve{lost.transitions.front().alarm, at(10min), at(1h), "the switch is moved"});

    EXPECT_TRUE(shelved.problems.empty());
    ASSERT_EQ(shelved.transitions.size(), 1u);
    EXPECT_EQ(shelved.transitions.front().state, alarms::AlarmState::shelved);
}

TEST(HandMeasurement, IsAnsweredAndCanBeTakenBack) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    (void)core.advance_to(at(2h));

    const Effects noted = core.accept(Measure{"north", {Quantity::gravity, 1.0385, at(1h), "hydrometer"}});
    const Effects wrong = core.accept(Measure{"north", {Quantity::gravity, 1038.5, at(1h), "hydrometer"}});
    const Effects idle = core.accept(Measure{"north", {Quantity::jacket_temperature, 8, at(1h), "probe"}});
    const Effects undone = core.accept(UndoMeasurement{"north", at(2h), {}});
    const Effects nothing = core.accept(UndoMeasurement{"north", at(2h), {}});

    EXPECT_THAT(noted.answers, ElementsAre(HasSubstr("1.038")));
    EXPECT_EQ(noted.batches.back().measurements.size(), 1u);
    EXPECT_THAT(wrong.problems, ElementsAre(HasSubstr("did you mean 1.038?")));
    EXPECT_THAT(idle.problems, ElementsAre(HasSubstr("change nothing")));
    EXPECT_THAT(undone.answers, ElementsAre(HasSubstr("1.038")));
    EXPECT_TRUE(undone.batches.back().measurements.empty());
    EXPECT_THAT(nothing.problems, ElementsAre(HasSubstr("no such measurement")));
}

TEST(HandMeasurement, MayBeOfTheGaugeOrCountPurges) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    (void)core.advance_to(at(2h));
    const auto told = [&](Quantity quantity, double value) {
        return core.accept(Measure{"north", {quantity, value, at(1h), ""}});
    };

    EXPECT_THAT(told(Quantity::head_pressure, 80).answers, ElementsAre(HasSubstr("head_pressure")));
    EXPECT_THAT(told(Quantity::purge_cycles, 3).answers, ElementsAre(HasSubstr("3 times")));
    EXPECT_THAT(told(Quantity::head_pressure, 80'000).problems, ElementsAre(HasSubstr("no head_pressure")));
    for (const double cycles : {0.0, -1.0, 1000.0, std::nan("")})
        EXPECT_EQ(told(Quantity::purge_cycles, cycles).problems.size(), 1u) << cycles;
}

TEST(HandMeasurement, MayBeOfAForcedFerment) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    (void)core.advance_to(at(2h));
    const auto told = [&](double value) {
        return core.accept(Measure{"north", {Quantity::forced_final_gravity, value, at(1h), ""}});
    };

    EXPECT_THAT(told(1.0105).answers, ElementsAre(HasSubstr("forced_final_gravity")));
    EXPECT_THAT(told(1010).problems, ElementsAre(HasSubstr("did you mean 1.010?")));
    for (const double value : {0.0, -1.01, 3e9, std::nan("")})
        EXPECT_EQ(told(value).problems.size(), 1u) << value;
    const Effects undone = core.accept(UndoMeasurement{"north", at(2h), {}});
    EXPECT_TRUE(undone.batches.back().measurements.empty());
}

/// Filled to 0.8 bar and let off three times within a quarter of an hour: it stands in the record, and the
/// person can withdraw it.
TEST(Purge, IsSeenOnTheGauge) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    Effects all;
    Duration t = 1h;
    const auto shows = [&](double kpa) {
        t += 1min;
        (void)core.advance_to(at(t));
        (void)core.accept(reading(Quantity::head_pressure, t, kpa));
    };
    for (int cycle = 0; cycle < 3; ++cycle)
        for (const double kpa : {40.0, 80.0, 80.0, 3.0}) shows(kpa);
    const Effects over = core.advance_to(at(t + 15min));

    ASSERT_FALSE(over.batches.empty());
    ASSERT_EQ(over.batches.back().measurements.size(), 1u);
    EXPECT_EQ(over.batches.back().measurements.front().quantity, Quantity::purge_cycles);
    EXPECT_EQ(over.batches.back().measurements.front().value, 3);
    const Effects undone = core.accept(UndoMeasurement{"north", at(2h), {}});
    EXPECT_TRUE(undone.batches.back().measurements.empty());
}

/// Lives through the ale with this plan; what is believed after 60 h.
base::Estimates believed_after(Cellar& core, const batch::Plan& plan,
                               const std::function<void(Cellar&)>& meanwhile = {}) {
    (void)core.advance_to(at(0h));
    (void)core.accept(StartBatch{plan, at(0h), {}});
    bool done = false;
    for (const auto& r : an_ale(0h, 60h)) {
        if (r.at > core.now()) (void)core.advance_to(r.at);
        if (meanwhile && !done && r.at >= at(50h)) meanwhile(core);
        done = done || r.at >= at(50h);
        (void)core.accept(r);
    }
    (void)core.advance_to(at(60h));
    return core.vessel("north")->estimates;
}

void expect_equal(const base::Estimates& a, const base::Estimates& b) {
    ASSERT_EQ(a.size(), b.size());
    for (const auto& [quantity, x] : a) {
        ASSERT_TRUE(b.contains(quantity)) << base::name(quantity);
        EXPECT_NEAR(x.value, b.at(quantity).value, 1e-9 * std::max(1.0, std::abs(x.value)))
            << base::name(quantity);
        EXPECT_NEAR(x.low, b.at(quantity).low, 1e-9 * std::max(1.0, std::abs(x.low))) << base::name(quantity);
    }
}

TEST(Correction, MakesEverythingAsIfItHadBeenKnownFromTheStart) {
    batch::Plan right = mild();
    right.original_gravity = 1.041;
    right.volume_l = 19;
    Cellar known{harbour()}, corrected{harbour()};

    const auto expected = believed_after(known, right);
    const auto found = believed_after(corrected, mild(), [](Cellar& core) {
        CorrectBatch correction;
        correction.vessel = "north";
        correction.at = at(50h);
        correction.original_gravity = 1.041;
        correction.volume_l = 19;
        const Effects effects = core.accept(Command{correction});
        EXPECT_THAT(effects.answers, ElementsAre(HasSubstr("1.0410")));
    });

    expect_equal(expected, found);
}

TEST(Correction, ThatCannotBeIsRefusedAndChangesNothing) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    CorrectBatch correction;
    correction.vessel = "north";
    correction.volume_l = 400;

    const Effects effects = core.accept(Command{correction});

    EXPECT_THAT(effects.problems, ElementsAre(HasSubstr("26.0 L")));
    EXPECT_TRUE(effects.batches.empty());
}

TEST(RegisteredLate, FindsTheReadingsThatWereStoredBefore) {
    Cellar live{harbour()}, late{harbour()};
    Kept store;
    const auto expected = believed_after(live, mild());
    (void)late.advance_to(at(0h));
    for (const auto& r : an_ale(0h, 60h)) {
        if (r.at > late.now()) (void)late.advance_to(r.at);
        store.keep(late.accept(r), late);
    }
    (void)late.advance_to(at(60h));

    const Effects effects = late.accept(StartBatch{mild(), at(60h), {}});
    ASSERT_EQ(effects.recalls.size(), 1u);
    EXPECT_EQ(effects.recalls.front().from, at(0h));
    late.begin_recall("north");
    for (const ReadingPoint& reading : store.since(effects.recalls.front().from))
        late.recall("north", reading);
    const Effects found = late.end_recall("north");

    expect_equal(expected, late.vessel("north")->estimates);
    EXPECT_FALSE(found.facts.empty()) << "what happened is told";
    EXPECT_TRUE(found.notices.empty()) << "and is old news";
}

}  // namespace
}  // namespace gyled::cellar
