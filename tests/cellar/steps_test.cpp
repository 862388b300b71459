/// The person's steps through a plan: past a stage, back to one, and what is undone.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"
#include "tests/cellar/kept.hpp"

namespace gyled::cellar {
namespace {

using batch::Move;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

batch::StagePlan rest_of_an_hour(StageKind kind, Band band) {
    batch::StagePlan stage;
    stage.kind = kind;
    stage.temperature_c = band;
    stage.end = {batch::StageEnd::When::time_in_band, std::nullopt, Duration{60min}};
    return stage;
}

/// Mash, mash-out, boil, ferment.
batch::Plan brew_day() {
    batch::Plan plan = mild();
    batch::StagePlan ferment = plan.stages[0];
    ferment.start.reset();
    plan.stages = {rest_of_an_hour(StageKind::mash, {66, 68}), rest_of_an_hour(StageKind::mash_out, {75, 78}),
                   rest_of_an_hour(StageKind::boil, {97, 103}), ferment};
    return plan;
}

/// A brewed core with what a store keeps of it, cut whenever asked.
class Brewery {
public:
    Brewery() {
        (void)core_.advance_to(at(0h));
        tell(StartBatch{brew_day(), at(0h), {}});
    }

    Effects tell(const Command& command) {
        Effects effects = core_.accept(command);
        store_.keep(effects, core_);
        return effects;
    }
    Effects go(Move move, Duration when, std::string why = "by hand") {
        return tell(EnterStage{"north", at(when), {}, std::move(why), Consent::none, move});
    }
    Effects undo(Duration when) { return tell(UndoStep{"north", at(when)}); }
    /// A minute after the other at this temperature; how often a stage's end was told.
    int stay(Duration from, Duration until, double celsius) {
        int told = 0;
        for (Duration t = from + 1min; t <= until; t += 1min) {
            Effects effects = core_.advance_to(at(t));
            effects.append(core_.accept(reading(Quantity::beer_temperature, t, celsius)));
            for (const auto& notice : effects.notices) told += notice.rule == "stage_end" ? 1 : 0;
            store_.keep(effects, core_);
        }
        return told;
    }
    void restart() { core_ = store_.restarted(harbour()); }

    [[nodiscard]] std::size_t stage() const { return core_.vessel("north")->batch->stage_index; }
    [[nodiscard]] bool has_batch() const { return core_.vessel("north")->batch.has_value(); }
    [[nodiscard]] batch::Record record() const { return *core_.states().at(1).batch; }
    Cellar& core() { return core_; }

private:
    Cellar core_{harbour()};
    Kept store_;
};

TEST(Steps, LeaveAStageOutAndSayWhy) {
    Brewery north;
    (void)north.stay(0min, 10min, 67);

    const Effects skipped = north.go(Move::skip, 10min, "no time for it");

    EXPECT_THAT(skipped.answers, ElementsAre("North: boil has begun."));
    EXPECT_EQ(north.stage(), 2u);
    EXPECT_EQ(north.record().stages.back().why, "no time for it");
    EXPECT_EQ(batch::state_of(1, north.record().stages), batch::StageState::skipped);
}

TEST(Steps, GoBackToRestOnceMoreWithAClockOfItsOwn) {
    Brewery north;
    (void)north.stay(0min, 61min, 67);
    (void)north.go(Move::next, 61min);

    EXPECT_THAT(north.go(Move::back, 62min).answers, ElementsAre("North: mash has begun."));

    EXPECT_EQ(north.stay(62min, 120min, 67), 0) << "a further hour, not the rest of the first";
    EXPECT_EQ(north.stay(120min, 124min, 67), 1);
    EXPECT_THAT(north.record().stages, ::testing::SizeIs(3));
}

TEST(Steps, ThatAreTakenBackLeaveTheMinutesOfTheRest) {
    for (const bool is_cut : {false, true}) {
        Brewery north;
        (void)north.stay(0min, 50min, 67);
        (void)north.go(Move::next, 50min);
        if (is_cut) north.restart();

        const Effects undone = north.undo(52min);
        if (is_cut) north.restart();

        EXPECT_THAT(undone.answers, ElementsAre("North: mash-out is undone; mash stands again."));
        EXPECT_EQ(north.stage(), 0u);
        EXPECT_THAT(north.record().stages, ::testing::SizeIs(1));
        EXPECT_EQ(north.stay(52min, 58min, 67), 0);
        EXPECT_EQ(north.stay(58min, 63min, 67), 1) << "an hour in all, told once";
    }
}

TEST(Steps, AnEndThatWasToldIsNotToldAgainAfterwards) {
    Brewery north;
    EXPECT_EQ(north.stay(0min, 70min, 67), 1);
    (void)north.go(Move::next, 70min);
    (void)north.undo(71min);

    EXPECT_EQ(north.stay(71min, 200min, 67), 0);
}

TEST(Steps, BeforeTheFirstThereIsNothingToTakeBack) {
    Brewery north;

    EXPECT_THAT(north.undo(1min).problems, ElementsAre(HasSubstr("has only begun")));
    EXPECT_THAT(north.go(Move::back, 1min).problems, ElementsAre(HasSubstr("begins with mash")));
    EXPECT_EQ(north.stage(), 0u);
    EXPECT_THAT(north.tell(UndoStep{"nowhere", at(1min)}).problems, ElementsAre(HasSubstr("nowhere")));
}

TEST(Steps, BackFromAPlannedStartStayBack) {
    Brewery north;
    batch::Plan plan = brew_day();
    plan.stages[1].start = at(60min);
    (void)north.tell(EndBatch{"north", at(0h), ""});
    (void)north.tell(StartBatch{plan, at(0h), {}});
    (void)north.stay(0min, 65min, 67);
    ASSERT_EQ(north.stage(), 1u) << "as planned";

    (void)north.undo(65min);
    (void)north.stay(65min, 80min, 67);
    EXPECT_EQ(north.stage(), 0u) << "its planned start has passed and is the person's affair now";

    (void)north.go(Move::next, 80min);
    (void)north.go(Move::back, 81min);
    (void)north.stay(81min, 90min, 67);
    EXPECT_EQ(north.stage(), 0u);
}

TEST(Steps, MayBeToldLateButNotBeforeTheStageThatTheyFollow) {
    Brewery north;
    (void)north.stay(0min, 30min, 67);

    EXPECT_TRUE(north.go(Move::next, 20min).problems.empty());
    EXPECT_EQ(north.record().stages.back().at, at(20min));
    EXPECT_THAT(north.go(Move::next, 15min).problems, ElementsAre(HasSubstr("before the one it follows")));
    EXPECT_THAT(north.tell(EndBatch{"north", at(15min), ""}).problems,
                ElementsAre(HasSubstr("before its last stage began")));
    EXPECT_EQ(north.stage(), 1u);
}

TEST(EndOfABatch, IsOnRecordWithItsReasonAndCanBeTakenBack) {
    for (const bool is_cut : {false, true}) {
        Brewery north;
        (void)north.stay(0min, 50min, 67);
        const Effects ended = north.tell(EndBatch{"north", at(50min), "the kettle leaks"});
        ASSERT_EQ(ended.batches.size(), 1u);
        EXPECT_EQ(ended.batches.front().ended, at(50min));
        EXPECT_EQ(ended.batches.front().ended_why, "the kettle leaks");
        ASSERT_FALSE(north.has_batch());
        if (is_cut) north.restart();

        const Effects undone = north.undo(55min);
        if (is_cut) north.restart();

        EXPECT_THAT(undone.answers, ElementsAre(HasSubstr("Harbour Mild has not ended")));
        EXPECT_THAT(undone.recalls, ::testing::SizeIs(1)) << "belief begins anew with what came meanwhile";
        EXPECT_FALSE(north.record().ended);
        EXPECT_EQ(north.record().id, ended.batches.front().id);
        EXPECT_EQ(north.stay(55min, 59min, 67), 0);
        EXPECT_EQ(north.stay(59min, 66min, 67), 1) << "its rest went on where it stood";
        EXPECT_THAT(north.undo(67min).problems, ElementsAre(HasSubstr("has only begun")));
    }
}

TEST(EndOfABatch, StandsOnceAnotherHasBegun) {
    Brewery north;
    EXPECT_THAT(Brewery{}.tell(UndoStep{"north", at(1min)}).problems, ::testing::SizeIs(1));
    (void)north.tell(EndBatch{"north", at(0h), ""});
    (void)north.tell(StartBatch{brew_day(), at(1min), {}});
    (void)north.tell(EndBatch{"north", at(2min), ""});
    (void)north.undo(3min);
    ASSERT_TRUE(north.has_batch());
    EXPECT_EQ(north.record().started, at(1min)) << "the newest, not the one before";

    Cellar empty{harbour()};
    (void)empty.advance_to(at(0h));
    EXPECT_THAT(empty.accept(UndoStep{"north", at(0h)}).problems,
                ElementsAre(HasSubstr("no ended batch in North")));
}

/// A finished ale of the house culture, ended, taken back and ended again.
TEST(EndOfABatch, TeachesOnceHoweverOftenItEnds) {
    Cellar once{harbour()}, twice{harbour()};
    for (Cellar* core : {&once, &twice}) {
        batch::Plan plan = mild();
        plan.culture_name = "harbour house";
        (void)core->advance_to(at(0h));
        (void)core->accept(StartBatch{plan, at(0h), {}});
        for (const sensors::Reading& r : an_ale(0h, 200h)) {
            (void)core->advance_to(r.at);
            (void)core->accept(r);
        }
        (void)core->accept(EndBatch{"north", core->now(), "kegs are full"});
    }
    ASSERT_TRUE(once.learned().contains("harbour house")) << "it never finished: this proves nothing";

    (void)twice.accept(UndoStep{"north", twice.now()});
    twice.begin_recall("north");
    for (const sensors::Reading& r : an_ale(0h, 200h)) twice.recall("north", *twice.point_of(r));
    (void)twice.end_recall("north");
    (void)twice.accept(EndBatch{"north", twice.now(), "now they are"});

    EXPECT_EQ(twice.learned().at("harbour house").batches, once.learned().at("harbour house").batches);
    EXPECT_EQ(twice.learned().at("harbour house").batches, 1);
}

}  // namespace
}  // namespace gyled::cellar
