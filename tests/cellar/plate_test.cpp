/// Commands against the plate: what the vessel does not bear is refused, what is doubtful asks for consent,
/// and what already runs is told.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;

Cellar open_cellar(CellarSpec spec = harbour()) {
    Cellar core{std::move(spec)};
    (void)core.advance_to(at(0h));
    return core;
}

/// The mild, and then gas at this pressure.
batch::Plan mild_on_gas(double kpa) {
    batch::Plan plan = mild();
    batch::StagePlan carbonate;
    carbonate.kind = StageKind::carbonate;
    carbonate.head_space = HeadSpace::supplied;
    carbonate.head_pressure_kpa = kpa;
    plan.stages.push_back(carbonate);
    return plan;
}

TEST(PlateGate, RefusesADangerousPlanWhateverThePersonSays) {
    Cellar core = open_cellar();

    for (const Consent consent : {Consent::none, Consent::given}) {
        const Effects effects = core.accept(StartBatch{mild_on_gas(500), at(0h), {}, consent});
        EXPECT_THAT(effects.problems, ElementsAre(HasSubstr("head_pressure_kpa = 166")));
        ASSERT_THAT(effects.findings, SizeIs(1));
        EXPECT_EQ(effects.findings[0].severity, batch::Severity::dangerous);
        EXPECT_TRUE(effects.batches.empty());
    }
    EXPECT_FALSE(core.vessel("north")->batch);
}

TEST(PlateGate, AsksForConsentToADoubtfulPlan) {
    Cellar core = open_cellar();

    const Effects asked = core.accept(StartBatch{mild_on_gas(170), at(0h), {}});
    EXPECT_THAT(asked.problems, ElementsAre(HasSubstr("may lift")));
    EXPECT_FALSE(batch::is_dangerous(asked.findings));
    EXPECT_FALSE(core.vessel("north")->batch);

    const Effects started = core.accept(StartBatch{mild_on_gas(170), at(0h), {}, Consent::given});
    EXPECT_THAT(started.problems, IsEmpty());
    EXPECT_THAT(started.answers, ElementsAre(HasSubstr("may lift"), HasSubstr("has started in North")));
    EXPECT_THAT(core.vessel("north")->batch->findings, SizeIs(1));
}

TEST(PlateGate, AsksAgainAtTheStageItself) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild_on_gas(170), at(0h), {}, Consent::given});

    EXPECT_THAT(core.accept(EnterStage{"north", at(0h), {}, "by hand"}).problems, IsEmpty())
        << "the crash is vented";
    EXPECT_THAT(core.accept(EnterStage{"north", at(0h), {}, "by hand"}).findings, SizeIs(1));
    EXPECT_EQ(core.vessel("north")->batch->stage_index, 1U);
    EXPECT_THAT(core.accept(EnterStage{"north", at(0h), {}, "by hand", Consent::given}).problems, IsEmpty());
    EXPECT_EQ(core.vessel("north")->batch->stage_index, 2U);
}

TEST(PlateGate, HoldsACorrectionToWhatItBrings) {
    Cellar core = open_cellar();
    (void)core.accept(StartBatch{mild_on_gas(170), at(0h), {}, Consent::given});
    CorrectBatch correction;
    correction.vessel = "north";
    correction.name = "Harbour Bitter";
    EXPECT_THAT(core.accept(Command{correction}).problems, IsEmpty()) << "its doubt was there before";

    correction.volume_l = 25.5;
    const Effects asked = core.accept(Command{correction});
    EXPECT_THAT(asked.problems, ElementsAre(HasSubstr("volume_l = 24.7")));
    EXPECT_EQ(core.vessel("north")->batch->plan.volume_l, 21);
    correction.consent = Consent::given;
    EXPECT_THAT(core.accept(Command{correction}).problems, IsEmpty());

    correction.volume_l = 26;
    EXPECT_THAT(core.accept(Command{correction}).problems, ElementsAre(HasSubstr("to the brim")));
    EXPECT_EQ(core.vessel("north")->batch->plan.volume_l, 25.5);
}

TEST(PlateGate, OfThePastTellsAndRefusesNothing) {
    Cellar core = open_cellar();
    const Effects effects = core.accept(StartBatch{mild_on_gas(500), at(0h), {}, Consent::past});
    EXPECT_THAT(effects.problems, IsEmpty());
    EXPECT_THAT(effects.answers, Contains(HasSubstr("5.00 bar")));
    EXPECT_TRUE(core.vessel("north")->batch);
}

/// A core that was started with a plan which nobody checked, and is taken up.
Cellar taken_up(const batch::Plan& plan) {
    Cellar before = open_cellar();
    (void)before.accept(StartBatch{plan, at(0h), {}, Consent::past});
    Cellar after{harbour()};
    after.restore({before.states(), {}});
    after.end_recall();
    return after;
}

TEST(PlateGate, NeverRefusesABatchThatIsRunningAndTellsIt) {
    Cellar core = taken_up(mild_on_gas(500));

    ASSERT_TRUE(core.vessel("north")->batch);
    ASSERT_THAT(core.vessel("north")->batch->findings, SizeIs(1));
    EXPECT_EQ(core.vessel("north")->batch->findings[0].severity, batch::Severity::dangerous);
    EXPECT_THAT(core.accept(Measure{"north", {Quantity::gravity, 1.030, at(0h), ""}}).problems, IsEmpty());
    EXPECT_THAT(core.accept(EnterStage{"north", at(0h), 2, "by hand", Consent::given}).problems, SizeIs(1))
        << "what is about to be done is refused";
}

TEST(PlateGate, APlannedStartIsToldAndNotRefused) {
    batch::Plan plan = mild_on_gas(500);
    plan.stages[1].start = at(1h);
    plan.stages[2].start = at(2h);
    Cellar core = taken_up(plan);

    (void)core.advance_to(at(3h));

    EXPECT_EQ(core.vessel("north")->batch->stage_index, 2U);
    EXPECT_THAT(core.vessel("north")->batch->findings, SizeIs(1));
}

/// What the phone hears of the plan while a core lives so long.
std::vector<alarms::Transition> told_of_the_plan(Cellar& core, Duration until) {
    std::vector<alarms::Transition> told;
    for (auto moment = 1min; moment <= until; moment += 1min)
        for (const alarms::Transition& step : core.advance_to(at(moment)).transitions)
            if (step.rule == "plan_against_plate" && step.annunciated) told.push_back(step);
    return told;
}

/// Nobody stands there when a planned stage begins: the phone hears of it beforehand, and once more when it
/// counts, with what would fit.
TEST(PlateGate, ARunningPlanAgainstThePlateReachesThePhone) {
    batch::Plan plan = mild_on_gas(500);
    plan.stages[1].start = at(1h);
    plan.stages[2].start = at(2h);
    Cellar core = taken_up(plan);

    const auto told = told_of_the_plan(core, 5h);

    ASSERT_THAT(told, SizeIs(2));
    EXPECT_EQ(told[0].priority, alarms::Priority::medium);
    EXPECT_LE(told[0].at, at(3min));
    EXPECT_EQ(told[1].priority, alarms::Priority::high);
    EXPECT_GE(told[1].at, at(2h));
    EXPECT_LE(told[1].at, at(2h + 3min));
    for (const alarms::Transition& step : told)
        EXPECT_THAT(step.text, HasSubstr("At most head_pressure_kpa = 166 fits."));
}

TEST(PlateGate, APlanThatIsCorrectedIsToldToFit) {
    batch::Plan plan = mild();
    plan.volume_l = 26;
    Cellar core = taken_up(plan);
    ASSERT_THAT(told_of_the_plan(core, 10min), SizeIs(1));
    CorrectBatch correction;
    correction.vessel = "north";
    correction.volume_l = 21;
    ASSERT_THAT(core.accept(Command{correction}).problems, IsEmpty());

    std::vector<alarms::Transition> after;
    for (auto moment = 11min; moment <= 20min; moment += 1min)
        for (const alarms::Transition& step : core.advance_to(at(moment)).transitions)
            if (step.rule == "plan_against_plate") after.push_back(step);

    ASSERT_THAT(after, SizeIs(1));
    EXPECT_EQ(after[0].state, alarms::AlarmState::normal);
}

TEST(PlateGate, APlanThatFitsRingsNobody) {
    Cellar core = taken_up(mild_on_gas(100));
    EXPECT_THAT(told_of_the_plan(core, 2h), IsEmpty());
}

TEST(PlateGate, SendsNobodyUpwardsBeyondTheLowestRatedPart) {
    CellarSpec spec = harbour();
    spec.vessels.front().relief_pressure_kpa = 100;
    batch::Plan plan = mild_on_gas(500);
    plan.stages = {plan.stages.back()};
    plan.stages[0].pressure_kpa = Band{400, 600};
    Cellar core = open_cellar(spec);
    (void)core.accept(StartBatch{plan, at(0h), {}, Consent::past});

    std::vector<std::string> told;
    for (Duration t = 1min; t <= 24h; t += 1min) {
        Effects effects = core.advance_to(at(t));
        effects.append(core.accept(reading(Quantity::head_pressure, t, 60)));
        for (const auto& transition : effects.transitions) told.push_back(transition.text);
    }

    EXPECT_THAT(told, Not(Contains(HasSubstr("4.00 bar")))) << "it said: below 4.00 bar, check the regulator";
    EXPECT_THAT(told, Not(Contains(HasSubstr("below"))));
}

}  // namespace
}  // namespace gyled::cellar
