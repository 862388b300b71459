#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/database.hpp"
#include "tests/storage/cellar_notes.hpp"

namespace gyled::storage {
namespace {

using alarms::AlarmState;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

batch::Record harbour_mild() {
    using namespace base;
    batch::Plan plan;
    plan.name = "Harbour Mild";
    plan.vessel = "north";
    plan.volume_l = 21;
    plan.original_gravity = 1.038;
    plan.expected_final_gravity = 1.011;
    plan.culture = Culture::ale;
    plan.culture_name = "the house's own";
    plan.target_co2_volumes = 2.1;
    batch::StagePlan ferment;
    ferment.kind = StageKind::ferment;
    ferment.start = pitched();
    ferment.temperature_c = Band{18, 20.5};
    ferment.pressure_kpa = Band{0, 30};
    ferment.head_space = HeadSpace::spunded;
    ferment.head_pressure_kpa = 20;
    ferment.end = {.when = batch::StageEnd::When::terminal_gravity,
                   .temperature_c = std::nullopt,
                   .duration = std::nullopt};
    batch::StagePlan rest;
    rest.kind = StageKind::rest;
    rest.end = {.when = batch::StageEnd::When::time_in_band, .temperature_c = 21.0, .duration = 48h};
    plan.stages = {ferment, rest};

    batch::Record batch;
    batch.id = "harbour-mild-2026-03-01";
    batch.plan = plan;
    batch.started = pitched();
    batch.stages = {
        {.index = 0,
         .at = pitched(),
         .why = "by plan",
         .end_reached = pitched(90h),
         .left_at = batch::StageClock{.in_band = 61min, .in_band_seen = pitched(89h), .direction = {}}},
        {.index = 1, .at = pitched(96h), .why = "by hand", .end_reached = std::nullopt}};
    batch.measurements = {
        {.quantity = Quantity::gravity, .value = 1.0125, .at = pitched(95h), .note = "hydrometer \"B\""}};
    batch.facts = {{.kind = estimation::FactKind::fermentation_started,
                    .at = pitched(8h),
                    .evidence = "0.4 points in 2 h",
                    .revoked = false,
                    .revoked_at = {},
                    .revoked_because = ""},
                   {.kind = estimation::FactKind::fermentation_stalled,
                    .at = pitched(40h),
                    .evidence = "flat for 12 h",
                    .revoked = true,
                    .revoked_at = pitched(44h),
                    .revoked_because = "it falls again"}};
    return batch;
}

void expect_same(const batch::Record& got, const batch::Record& expected) {
    // every field is in the document, so equal documents of equal length mean equal batches; the fields that
    // matter most are compared one by one as well, so that a field left out of both directions cannot hide
    EXPECT_EQ(to_document(got), to_document(expected));
    EXPECT_EQ(got.id, expected.id);
    EXPECT_EQ(got.started, expected.started);
    EXPECT_EQ(got.ended, expected.ended);
    EXPECT_EQ(got.plan.name, expected.plan.name);
    EXPECT_EQ(got.plan.vessel, expected.plan.vessel);
    EXPECT_EQ(got.plan.volume_l, expected.plan.volume_l);
    EXPECT_EQ(got.plan.original_gravity, expected.plan.original_gravity);
    EXPECT_EQ(got.plan.expected_final_gravity, expected.plan.expected_final_gravity);
    EXPECT_EQ(got.plan.culture, expected.plan.culture);
    EXPECT_EQ(got.plan.culture_name, expected.plan.culture_name);
    EXPECT_EQ(got.plan.target_co2_volumes, expected.plan.target_co2_volumes);
    ASSERT_EQ(got.plan.stages.size(), expected.plan.stages.size());
    for (std::size_t i = 0; i < got.plan.stages.size(); ++i) {
        const auto &a = got.plan.stages[i], &b = expected.plan.stages[i];
        EXPECT_EQ(a.kind, b.kind);
        EXPECT_EQ(a.start, b.start);
        EXPECT_EQ(a.temperature_c, b.temperature_c);
        EXPECT_EQ(a.pressure_kpa, b.pressure_kpa);
        EXPECT_EQ(a.head_space, b.head_space);
        EXPECT_EQ(a.head_pressure_kpa, b.head_pressure_kpa);
        EXPECT_EQ(a.end.when, b.end.when);
        EXPECT_EQ(a.end.temperature_c, b.end.temperature_c);
        EXPECT_EQ(a.end.duration, b.end.duration);
    }
    ASSERT_EQ(got.stages.size(), expected.stages.size());
    for (std::size_t i = 0; i < got.stages.size(); ++i) {
        EXPECT_EQ(got.stages[i].index, expected.stages[i].index);
        EXPECT_EQ(got.stages[i].at, expected.stages[i].at);
        EXPECT_EQ(got.stages[i].why, expected.stages[i].why);
        EXPECT_EQ(got.stages[i].end_reached, expected.stages[i].end_reached);
        EXPECT_EQ(got.stages[i].left_at, expected.stages[i].left_at);
    }
    ASSERT_EQ(got.measurements.size(), expected.measurements.size());
    for (std::size_t i = 0; i < got.measurements.size(); ++i) {
        EXPECT_EQ(got.measurements[i].quantity, expected.measurements[i].quantity);
        EXPECT_EQ(got.measurements[i].value, expected.measurements[i].value);
        EXPECT_EQ(got.measurements[i].at, expected.measurements[i].at);
        EXPECT_EQ(got.measurements[i].note, expected.measurements[i].note);
    }
    ASSERT_EQ(got.facts.size(), expected.facts.size());
    for (std::size_t i = 0; i < got.facts.size(); ++i) {
        EXPECT_EQ(got.facts[i].kind, expected.facts[i].kind);
        EXPECT_EQ(got.facts[i].at, expected.facts[i].at);
        EXPECT_EQ(got.facts[i].evidence, expected.facts[i].evidence);
        EXPECT_EQ(got.facts[i].revoked, expected.facts[i].revoked);
        EXPECT_EQ(got.facts[i].revoked_at, expected.facts[i].revoked_at);
        EXPECT_EQ(got.facts[i].revoked_because, expected.facts[i].revoked_because);
    }
}

Commit batches(std::vector<batch::Record> records) {
    Commit group;
    group.effects.batches = std::move(records);
    return group;
}
Commit transitions(std::vector<alarms::Transition> steps) {
    Commit group;
    group.effects.transitions = std::move(steps);
    return group;
}
Commit notices(std::vector<annunciation::Notice> some) {
    Commit group;
    group.effects.notices = std::move(some);
    return group;
}

TEST(Batches, SurviveARestartWhole) {
    Scratch scratch;
    Store{scratch.file()}.write(batches({harbour_mild()}));

    const Store again{scratch.file()};

    ASSERT_THAT(again.running_batches(), SizeIs(1));
    expect_same(again.running_batches()[0], harbour_mild());
}

TEST(Batches, AreWrittenOverAsTheyGoOnAndEnd) {
    Scratch scratch;
    Store store{scratch.file()};
    auto batch = harbour_mild();
    store.write(batches({batch}));

    batch.ended = pitched(500h);
    batch.stages.push_back({.index = 1, .at = pitched(200h), .why = "again", .end_reached = std::nullopt});
    store.write(batches({batch}));

    EXPECT_THAT(store.running_batches(), IsEmpty());
    ASSERT_TRUE(store.batch(batch.id));
    expect_same(*store.batch(batch.id), batch);
    EXPECT_THAT(store.batches(10), SizeIs(1));
}

TEST(Batches, AreListedNewestFirst) {
    Scratch scratch;
    Store store{scratch.file()};
    for (int i = 0; i < 5; ++i) {
        auto batch = harbour_mild();
        batch.id = "batch " + std::to_string(i);
        batch.started = pitched(std::chrono::hours{100 * i});
        store.write(batches({batch}));
    }

    const auto newest = store.batches(2);

    ASSERT_THAT(newest, SizeIs(2));
    EXPECT_EQ(newest[0].id, "batch 4");
    EXPECT_EQ(newest[1].id, "batch 3");
    EXPECT_FALSE(store.batch("batch 9"));
}

TEST(Batches, WithBarePlansAndStrangeNamesComeBack) {
    Scratch scratch;
    Store store{scratch.file()};
    batch::Record bare;
    bare.id = "'; DELETE FROM batch; --";
    bare.plan.name = "Ünïcode \"Bitter\" \\ 🍺\n{}";
    bare.plan.vessel = "south";
    bare.plan.stages = {batch::StagePlan{}};
    bare.stages = {{.index = 0, .at = pitched(), .why = "", .end_reached = {}}};
    bare.started = pitched();

    store.write(batches({bare}));

    expect_same(store.running_batches().at(0), bare);
}

TEST(Batches, ThatCannotBeUnderstoodAreNamed) {
    Scratch scratch;
    Store{scratch.file()}.write(batches({harbour_mild()}));
    for (const std::string broken : {"", "{", "[]", "{\"plan\":{}}", "{\"id\":3}"}) {
        {
            Database file{scratch.file(), Database::Access::read_write, 1s};
            file.prepared("UPDATE batch SET document = ?1", broken).run();
        }
        const ReadStore store{scratch.file()};
        try {
            (void)store.running_batches();
            FAIL() << "accepted " << broken;
        } catch (const StorageError& error) {
            EXPECT_EQ(error.kind(), StorageError::Kind::damaged);
            EXPECT_THAT(error.what(), HasSubstr("harbour-mild-2026-03-01"));
        }
    }
}

TEST(Facts, AreRememberedOnceAndTakenBackInPlace) {
    Scratch scratch;
    Store store{scratch.file()};
    auto fact = harbour_mild().facts[0];
    Commit group;
    group.effects.facts = {{.vessel = "north", .batch = "b", .fact = fact}};
    store.write(group);
    group.effects.facts[0].fact.revoked = true;
    group.effects.facts[0].fact.revoked_at = pitched(20h);
    store.write(group);

    Database file{scratch.file(), Database::Access::read_only, 1s};
    EXPECT_EQ(file.number("SELECT count(*) FROM dash_fact"), 1);
    EXPECT_EQ(file.number("SELECT revoked_ms FROM dash_fact"), pitched(20h).time_since_epoch().count());
}

TEST(Batches, OfOneIdInTwoVesselsDoNotOverwriteEachOther) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(batches({harbour_mild()}));
    batch::Record other = harbour_mild();
    other.plan.vessel = "south";
    cellar::VesselState south;
    south.vessel = "south";
    south.at = pitched(1h);
    south.batch = other;
    Commit group = batches({other});
    group.states = {south};
    group.effects.readings = {temperature_reading(1h, 19.5, "south")};

    EXPECT_EQ(store.write(group), 1U) << "the readings do not answer for the batch";
    store.write(group);

    EXPECT_EQ(store.batch(other.id)->plan.vessel, "north");
    EXPECT_THAT(store.take_refusals(),
                ElementsAre(AllOf(HasSubstr(other.id), HasSubstr("'south'"), HasSubstr("'north'"))));
    EXPECT_THAT(store.take_refusals(), IsEmpty());
}

TEST(Batches, ThatEndedAreNotOverwrittenByOneThatBeginsTheSameDay) {
    Scratch scratch;
    Store store{scratch.file()};
    batch::Record morning = harbour_mild();
    morning.ended = pitched(1h);
    store.write(batches({morning}));
    batch::Record evening = harbour_mild();
    evening.started = pitched(2h);

    store.write(batches({evening}));

    EXPECT_THAT(store.take_refusals(), SizeIs(1));
    EXPECT_EQ(store.batch(morning.id)->ended, pitched(1h));
}

TEST(Batches, MayHaveTheirStartCorrectedWhileTheyRun) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(batches({harbour_mild()}));
    batch::Record corrected = harbour_mild();
    corrected.started = pitched(-3h);

    store.write(batches({corrected}));

    EXPECT_EQ(store.batch(corrected.id)->started, pitched(-3h));
}

TEST(Alarms, StandUntilTheyAreOver) {
    Scratch scratch;
    {
        Store store{scratch.file()};
        store.write(transitions({step("warm/1", AlarmState::raised, 1h, "warm"),
                                 step("warm/2", AlarmState::raised, 2h, "warm again")}));
        store.write(transitions(
            {step("warm/1", AlarmState::acknowledged, 3h), step("warm/2", AlarmState::normal, 4h, "cool")}));
    }
    const Store store{scratch.file()};

    const auto standing = store.standing_alarms();

    ASSERT_THAT(standing, SizeIs(1));
    EXPECT_EQ(standing[0], step("warm/1", AlarmState::acknowledged, 3h));
}

TEST(Alarms, AreListedByTheirLastStepNewestFirst) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(transitions({step("a", AlarmState::raised, 1h), step("b", AlarmState::raised, 2h),
                             step("a", AlarmState::normal, 3h, "over")}));

    EXPECT_THAT(store.alarms(10),
                ElementsAre(step("a", AlarmState::normal, 3h, "over"), step("b", AlarmState::raised, 2h)));
    EXPECT_THAT(store.alarms(1), ElementsAre(step("a", AlarmState::normal, 3h, "over")));
    EXPECT_THAT(store.alarms(10, pitched(3h)), ElementsAre(step("b", AlarmState::raised, 2h)));
    EXPECT_THAT(store.alarms(0), IsEmpty());
}

TEST(Alarms, OfOneMomentAreAllSeenPageByPage) {
    Scratch scratch;
    Store store{scratch.file()};
    for (const char* id : {"d", "a", "c", "b", "e"})
        store.write(transitions({step(id, AlarmState::raised, 1h)}));
    store.write(transitions({step("older", AlarmState::raised, 0h)}));
    std::vector<std::string> seen;

    for (auto page = store.alarms(2); !page.empty();
         page = store.alarms(2, cellar::AlarmPlace{page.back().at, page.back().alarm}))
        for (const auto& one : page) seen.push_back(one.alarm);

    EXPECT_THAT(seen, ElementsAre("a", "b", "c", "d", "e", "older"));
}

TEST(Alarms, KeepEveryStepOfTheirLifeOnce) {
    Scratch scratch;
    Store store{scratch.file()};
    const std::vector life{step("a", AlarmState::raised, 1h, "warm"), step("a", AlarmState::shelved, 1h),
                           step("a", AlarmState::raised, 2h), step("a", AlarmState::normal, 3h, "over")};
    store.write(transitions(life));
    store.write(transitions({life[0]}));  // heard again

    Database file{scratch.file(), Database::Access::read_only, 1s};
    EXPECT_EQ(file.number("SELECT count(*) FROM alarm_step WHERE alarm = 'a'"), 4);
    EXPECT_EQ(file.number("SELECT count(*) FROM alarm_step WHERE state = 'shelved' AND at_ms = " +
                          std::to_string(pitched(1h).time_since_epoch().count())),
              1);
}

TEST(Alarms, OfTheWatchItselfHaveNoVesselAndMayHaveNoValue) {
    Scratch scratch;
    Store store{scratch.file()};
    auto broker = step("broker_lost/1", AlarmState::raised, 1h, "The broker is gone");
    broker.vessel = "";
    broker.value = std::nullopt;
    broker.limit = std::numeric_limits<double>::quiet_NaN();
    broker.annunciated = false;

    store.write(transitions({broker}));

    broker.limit = std::nullopt;
    EXPECT_THAT(store.standing_alarms(), ElementsAre(broker));
}

TEST(Outbox, HoldsANoticeForEachOfItsMessengersOnce) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(notices({notice("n1", {"phone", "mail"})}));
    store.write(notices({notice("n1", {"phone", "mail"})}));

    const auto due =
        store.outbox().due(pitched(-1000h), 10);  // due at once, whatever the sensor's clock said
    ASSERT_THAT(due, SizeIs(2));
    EXPECT_EQ(due[0].messenger, "phone");
    EXPECT_EQ(due[1].messenger, "mail");
    EXPECT_EQ(due[0].notice.id, "n1");
    EXPECT_EQ(due[0].notice.thread, notice("n1").thread);
    EXPECT_EQ(due[0].notice.kind, notice("n1").kind);
    EXPECT_EQ(due[0].notice.priority, notice("n1").priority);
    EXPECT_EQ(due[0].notice.title, notice("n1").title);
    EXPECT_EQ(due[0].notice.text, notice("n1").text);
    EXPECT_EQ(due[0].notice.at, notice("n1").at);
    EXPECT_EQ(due[0].attempts, 0U);
    EXPECT_EQ(store.outbox().pending(), 2U);
}

TEST(Outbox, WithoutRecipientsStaysEmpty) {
    Scratch scratch;
    Store store{scratch.file()};

    store.write(notices({notice("n1")}));

    EXPECT_EQ(store.outbox().pending(), 0U);
    EXPECT_EQ(store.outbox().entered(), 0U);
}

TEST(Outbox, TriesAgainWhenToldAndForgetsWhatIsDone) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(notices({notice("n1", {"phone"})}));
    store.write(notices({notice("n2", {"phone"})}));
    store.write(notices({notice("n3", {"phone"})}));
    const auto first = store.outbox().due(pitched(), 50);
    ASSERT_THAT(first, SizeIs(3));

    store.outbox().deferred(first[0].id, pitched(30s), 1, "no route to host");
    store.outbox().delivered(first[1].id, pitched());
    store.outbox().expired(first[2].id, pitched(), "the relay says 403");

    EXPECT_THAT(store.outbox().due(pitched(29s), 50), IsEmpty());
    EXPECT_EQ(store.outbox().pending(), 1U);
    const auto second = store.outbox().due(pitched(30s), 50);
    ASSERT_THAT(second, SizeIs(1));
    EXPECT_EQ(second[0].attempts, 1U);
    EXPECT_EQ(second[0].problem, "no route to host");
    EXPECT_EQ(second[0].next_try, pitched(30s));
}

TEST(Outbox, TellsWhenSomethingNewCameIn) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(notices({notice("n1", {"phone", "mail"})}));
    const auto first = store.outbox().entered();
    EXPECT_EQ(first, 2U);

    store.outbox().delivered(store.outbox().due(pitched(), 1).at(0).id, pitched());
    store.write(notices({notice("n1", {"phone", "mail"})}));  // heard again
    EXPECT_EQ(store.outbox().entered(), first);

    store.write(notices({notice("n2", {"phone"})}));
    EXPECT_GT(store.outbox().entered(), first);
}

TEST(Outbox, SurvivesARestartAndIsNotRefilledByWhatWasDelivered) {
    Scratch scratch;
    {
        Store store{scratch.file()};
        store.write(notices({notice("n1", {"phone"})}));
        store.write(notices({notice("n2", {"phone"})}));
        store.outbox().delivered(store.outbox().due(pitched(), 50).at(0).id, pitched());
    }
    Store store{scratch.file()};
    store.write(notices({notice("n1", {"phone"})}));

    EXPECT_EQ(store.outbox().pending(), 1U);
    EXPECT_EQ(store.outbox().due(pitched(), 50).at(0).notice.id, "n2");
}

TEST(Outbox, LateWordOfAFailureDoesNotRaiseTheDead) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(notices({notice("n1", {"phone"})}));
    const auto id = store.outbox().due(pitched(), 50).at(0).id;
    store.outbox().delivered(id, pitched());

    store.outbox().deferred(id, pitched(), 2, "timed out");
    store.outbox().deferred(12345, pitched(), 2, "nobody");
    store.outbox().delivered(12345, pitched());

    EXPECT_EQ(store.outbox().pending(), 0U);
}

const estimation::LearnedCurve house_curve{3, 2, {0.1, -0.25, 1e-9}, {1, 0, 0, 0, 1, 0, 0, 0, 1}};

TEST(Memory, KeepsTheLastWordAndWhatWasLearned) {
    Scratch scratch;
    {
        Store store{scratch.file()};
        store.remember("import/position", "17");
        store.remember("import/position", "18");
        store.remember("empty", "");
        Commit group;
        group.learned = {{"ale \"house\" ü", house_curve}, {"lager", {3, 1, {0.5}, {1}}}};
        store.write(group);
    }
    const Store store{scratch.file()};

    EXPECT_EQ(store.recall("import/position"), "18");
    EXPECT_EQ(store.recall("empty"), "");
    EXPECT_EQ(store.recall("never said"), std::nullopt);
    EXPECT_THAT(store.learned(), SizeIs(2));
    EXPECT_EQ(store.learned().at("ale \"house\" ü"), house_curve);
}

TEST(Memory, OfACurveThatCannotBeReadIsPassedOver) {
    Scratch scratch;
    Store store{scratch.file()};
    Database file{scratch.file(), Database::Access::read_write, 1s};
    for (const char* text :
         {"", "{", "null", "[]", "{\"edition\":\"x\"}", "{\"edition\":1,\"batches\":1,\"mean\":3}"}) {
        file.prepared("INSERT OR REPLACE INTO learned VALUES ('ale', ?1)", text).run();
        EXPECT_THAT(store.learned(), IsEmpty()) << text;
    }
}

TEST(Groups, AreWrittenWholeOrNotAtAll) {
    Scratch scratch;
    Store store{scratch.file()};
    Commit group = readings({gravity_reading(1h, 1.030)});
    group.states.resize(1);
    group.states[0].vessel = "south";
    Database file{scratch.file(), Database::Access::read_write, 1s};
    file.execute(  // the last thing written stumbles
        "CREATE TRIGGER stumble BEFORE INSERT ON vessel_state BEGIN SELECT RAISE(ABORT, 'no'); END");

    EXPECT_THROW(store.write(group), StorageError);
    EXPECT_THAT(all_readings(store), IsEmpty());

    file.execute("DROP TRIGGER stumble");
    EXPECT_EQ(store.write(group), 1U) << "the same group may be given again";
    EXPECT_THAT(all_readings(store), SizeIs(1));
    EXPECT_EQ(all_readings(store)[0].vessel, "north");
}

}  // namespace
}  // namespace gyled::storage
