/// Only what is committed may be forgotten, whatever the store and the source do.

#include "daemon/pipeline/pipeline.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "tests/pipeline/harbour_pipeline.hpp"

namespace gyled::pipeline {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;

TEST(Pipeline, ReleasesOnlyAfterTheCommit) {
    MemoryStore store;
    Watch watch{store};
    std::vector<std::string> order;
    store.on_commit = [&] { order.emplace_back("commit"); };
    watch.source.on_release = [&] { order.emplace_back("release"); };

    watch.source.send("cellar/north/temperature", "19.5", at(10s));
    EXPECT_FALSE(watch.pipeline.drain(at(10s)));

    EXPECT_THAT(order, ElementsAre("commit", "release"));
    EXPECT_EQ(watch.source.released.back(), watch.source.groups);
}

TEST(Pipeline, KeepsTheGroupUntilItsCommitIsDue) {
    MemoryStore store;
    Watch watch{store};
    watch.source.send("cellar/north/temperature", "19.5", at(10s));
    (void)watch.pipeline.drain(at(10s));
    const auto released = watch.source.released.size();

    watch.source.send("cellar/north/temperature", "19.6", at(10s + 200ms));
    (void)watch.pipeline.drain(at(10s + 200ms));
    EXPECT_THAT(watch.source.released, SizeIs(released)) << "the interval of a second has not passed";

    watch.pipeline.advance(at(11s));
    EXPECT_THAT(watch.source.released, SizeIs(released + 1));
    EXPECT_THAT(store.readings, SizeIs(2));
}

TEST(Pipeline, ReleasesAtOnceWhatLeavesNothingToCommit) {
    MemoryStore store;
    Watch watch{store};

    watch.source.send("elsewhere", "1", at(1s));
    (void)watch.pipeline.drain(at(1s));

    EXPECT_THAT(watch.heard.rejects, SizeIs(1));
    EXPECT_THAT(watch.source.released, SizeIs(1));
}

TEST(Pipeline, TakesABoundedNumberOfMessagesAndSaysThatMoreWait) {
    MemoryStore store;
    Parameters parameters;
    parameters.messages_at_once = 10;
    Watch watch{store, parameters};
    for (int i = 0; i < 25; ++i)
        watch.source.send("cellar/north/temperature", "19." + std::to_string(i % 10), at(i * 1min));

    EXPECT_TRUE(watch.pipeline.drain(at(25min)));
    EXPECT_EQ(watch.heard.readings, 10);
    EXPECT_TRUE(watch.pipeline.drain(at(25min)));
    EXPECT_FALSE(watch.pipeline.drain(at(25min)));
    EXPECT_EQ(watch.heard.readings, 25);
}

TEST(StoreFailure, KeepsTheGroupAndTriesAgainAfterFiveSeconds) {
    MemoryStore store;
    Watch watch{store};
    const auto released = watch.source.released.size();
    store.works = false;
    store.attempts = 0;

    watch.source.send("cellar/north/temperature", "19.5", at(10s));
    (void)watch.pipeline.drain(at(10s));
    for (Duration t = 10s; t < 15s; t += 1s) watch.pipeline.advance(at(t));
    EXPECT_EQ(store.attempts, 1);
    EXPECT_THAT(watch.heard.failures, ElementsAre("the disk is full"));
    EXPECT_EQ(watch.pipeline.ledger().problem(), "the disk is full");
    EXPECT_THAT(watch.source.released, SizeIs(released));

    store.works = true;
    watch.pipeline.advance(at(15s));
    EXPECT_THAT(store.readings, SizeIs(1));
    EXPECT_TRUE(watch.pipeline.ledger().store_ok());
    EXPECT_THAT(watch.source.released, SizeIs(released + 1));
}

TEST(StoreFailure, AClockThatWasSetBackStopsNoRetry) {
    MemoryStore store;
    Watch watch{store};
    store.works = false;
    watch.source.send("cellar/north/temperature", "19.5", at(3h));
    (void)watch.pipeline.drain(at(3h));

    store.works = true;
    watch.pipeline.advance(at(1h));

    EXPECT_THAT(store.readings, SizeIs(1));
}

TEST(StoreFailure, NoticesReachThePhonePastTheOutboxAndOnlyOnce) {
    MemoryStore store;
    Watch watch{store};
    store.works = false;

    for (Duration t = 1min; t < 10min; t += 10s) {
        watch.send_alarming_pressure(at(t));
        (void)watch.pipeline.drain(at(t));
    }
    ASSERT_THAT(watch.heard.unstored, SizeIs(::testing::Ge(1u)));
    EXPECT_THAT(watch.heard.unstored.front().recipients, ElementsAre("phone"));
    const auto delivered = watch.heard.unstored.size();

    store.works = true;
    watch.pipeline.advance(at(10min));
    EXPECT_THAT(store.outbox, IsEmpty()) << "or the phone would hear it twice";
    EXPECT_THAT(watch.heard.unstored, SizeIs(delivered));
}

/// A store that fails for fifty minutes, a reading in each, with room in memory for twenty.
struct LongFailure {
    explicit LongFailure(bool with_spool = true) : watch{store, parameters()} {
        watch.source.spools = with_spool;
        released = watch.source.released.size();
        store.works = false;
        send(0, 50);
        watch.send_alarming_pressure(at(50min));
        (void)watch.pipeline.drain(at(50min));
    }
    static Parameters parameters() {
        Parameters parameters;
        parameters.ledger.readings_kept_max = 20;
        return parameters;
    }
    void send(int minute, int end) {
        for (; minute < end; ++minute) {
            watch.source.send("cellar/north/temperature", minute % 2 == 0 ? "19.5" : "19.6",
                              at(minute * 1min));
            (void)watch.pipeline.drain(at(minute * 1min));
        }
    }
    void drain_all(Duration when) {
        watch.pipeline.advance(at(when));
        while (watch.pipeline.drain(at(when))) {
        }
    }
    [[nodiscard]] std::set<Timestamp> stored() const {
        std::set<Timestamp> moments;
        for (const auto& reading : store.readings) moments.insert(reading.at);
        return moments;
    }

    MemoryStore store;
    Watch watch;
    std::size_t released = 0;
};

TEST(StoreFailure, BeyondTheBoundReadingsAreJudgedAndStayWithTheSource) {
    LongFailure failure;
    Watch& watch = failure.watch;
    EXPECT_EQ(watch.pipeline.ledger().turned_away(), 31u);
    EXPECT_THAT(watch.heard.unstored, SizeIs(::testing::Ge(1u))) << "pressure is judged all the same";

    failure.store.works = true;
    watch.pipeline.advance(at(51min));

    EXPECT_THAT(failure.store.readings, SizeIs(20));
    EXPECT_EQ(failure.store.readings.back().at, at(19min)) << "what comes again begins behind what is stored";
    ASSERT_THAT(watch.source.released, SizeIs(failure.released + 1));
    EXPECT_LT(watch.source.released.back(), watch.source.groups - 30) << "what was not kept is not released";
}

TEST(StoreFailure, WhatWasJudgedBeyondTheBoundIsTakenAgainOnceTheStoreWorks) {
    LongFailure failure;
    Watch& watch = failure.watch;
    const int readings = watch.heard.readings;
    const auto notices = watch.heard.unstored.size();
    failure.store.works = true;
    watch.pipeline.advance(at(51min));
    watch.source.send("cellar/north/temperature", "19.5", at(52min));
    failure.drain_all(52min);
    watch.pipeline.advance(at(53min));

    EXPECT_EQ(failure.store.readings.size(), 52u) << "each once";
    EXPECT_EQ(failure.stored().size(), 52u);
    EXPECT_EQ(watch.pipeline.ledger().turned_away(), 0u);
    EXPECT_EQ(watch.pipeline.ledger().lost(), 0u);
    EXPECT_THAT(watch.source.spool, IsEmpty()) << "and now the source may forget it";
    EXPECT_EQ(watch.heard.readings, readings + 1) << "nothing is judged twice";
    EXPECT_THAT(watch.heard.unstored, SizeIs(notices));
    EXPECT_THAT(failure.store.outbox, IsEmpty());
}

TEST(StoreFailure, AStoreThatFailsAgainMeanwhileCostsNothingEither) {
    LongFailure failure;
    failure.store.works = true;
    failure.watch.pipeline.advance(at(51min));  // and the second taking has begun
    failure.store.works = false;
    failure.send(60, 120);
    EXPECT_GT(failure.watch.pipeline.ledger().turned_away(), 31u);

    failure.store.works = true;
    failure.drain_all(130min);
    failure.drain_all(131min);

    EXPECT_EQ(failure.stored().size(), 51u + 60u);
    EXPECT_EQ(failure.watch.pipeline.ledger().turned_away(), 0u);
    EXPECT_THAT(failure.watch.source.spool, IsEmpty());
}

TEST(StoreFailure, BeyondTheBoundAndWithoutASpoolReadingsAreLostAndCounted) {
    LongFailure failure{false};
    EXPECT_EQ(failure.watch.pipeline.ledger().lost(), 31u);
    EXPECT_EQ(failure.watch.pipeline.ledger().turned_away(), 0u) << "nobody waits for them";

    failure.store.works = true;
    failure.drain_all(51min);

    EXPECT_THAT(failure.store.readings, SizeIs(20));
    EXPECT_EQ(failure.watch.pipeline.ledger().lost(), 31u);
}

TEST(StoreFailure, ForLongKeepsItsReadingsInOrderAndWritesThemInGroups) {
    MemoryStore store;
    Parameters parameters;
    parameters.ledger.readings_at_once = 100;
    Watch watch{store, parameters};
    store.works = false;
    for (int i = 0; i < 1'000; ++i)
        watch.source.send("cellar/north/temperature", i % 2 == 0 ? "19.5" : "19.6", at(i * 1min));
    (void)watch.pipeline.drain(at(1'000min));
    EXPECT_THAT(store.readings, IsEmpty());
    const int commits = store.commits;

    store.works = true;
    watch.pipeline.advance(at(1'001min));
    EXPECT_THAT(store.readings, SizeIs(::testing::Le(200u))) << "the loop is not held up";
    EXPECT_TRUE(watch.pipeline.ledger().is_behind());
    while (watch.pipeline.drain(at(1'001min))) {
    }

    ASSERT_THAT(store.readings, SizeIs(1'000));
    for (int i = 0; i < 1'000; ++i) ASSERT_EQ(store.readings[static_cast<std::size_t>(i)].at, at(i * 1min));
    EXPECT_GE(store.commits - commits, 10);
    EXPECT_EQ(watch.pipeline.ledger().turned_away(), 0u);
    EXPECT_THAT(watch.source.spool, IsEmpty());
}

TEST(Shutdown, TakesWhatTheSourceStillHoldsAndCommitsIt) {
    MemoryStore store;
    Parameters parameters;
    parameters.messages_at_once = 10;
    Watch watch{store, parameters};
    for (int i = 0; i < 35; ++i)
        watch.source.send("cellar/north/temperature", "19." + std::to_string(i % 10), at(i * 1min));

    watch.pipeline.stop(at(35min));

    EXPECT_TRUE(watch.source.stopped);
    EXPECT_THAT(store.readings, SizeIs(35));
    EXPECT_EQ(watch.source.released.back(), watch.source.groups);
}

TEST(Shutdown, WithAStoreThatFailsTheSourceKeepsItAll) {
    MemoryStore store;
    Watch watch{store};
    const auto released = watch.source.released.size();
    store.works = false;
    watch.source.send("cellar/north/temperature", "19.5", at(10s));

    watch.pipeline.stop(at(11s));

    EXPECT_THAT(watch.source.released, SizeIs(released));
}

batch::Plan mild() {
    batch::Plan plan;
    plan.name = "Harbour Mild";
    plan.vessel = "north";
    plan.volume_l = 21;
    plan.original_gravity = 1.040;
    plan.expected_final_gravity = 1.010;
    batch::StagePlan ferment;
    ferment.kind = base::StageKind::ferment;
    ferment.temperature_c = base::Band{18, 21};
    plan.stages = {ferment};
    return plan;
}

TEST(Restart, TakesUpWhatWasCommitted) {
    MemoryStore store;
    {
        Watch before{store};
        EXPECT_THAT(before.pipeline.carry_out(cellar::StartBatch{mild(), at(1min), {}}, at(1min)).problems,
                    IsEmpty());
        for (int i = 2; i < 90; ++i) {
            before.source.send("cellar/north/temperature", "19." + std::to_string(i % 7), at(i * 1min));
            (void)before.pipeline.drain(at(i * 1min));
        }
        before.pipeline.stop(at(90min));
    }
    testing::ScriptedSource source;
    Heard heard;
    Pipeline after{cellar::Cellar{harbour_core()}, sensors::Intake{harbour_sensors()}, source, store, heard};
    after.resume(at(90min));

    const auto north = after.core().vessel("north");
    ASSERT_TRUE(north && north->batch);
    EXPECT_EQ(north->batch->name, "Harbour Mild");
    EXPECT_EQ(north->latest.at(Quantity::beer_temperature).at, at(89min));
    EXPECT_EQ(after.intake().accepted(), 88u) << "the sensors' memories too";
    EXPECT_THAT(heard.transitions, IsEmpty()) << "a restart is silent";
}

TEST(Restart, WithAMemoryThatCannotBeReadWatchesAndTakesItUpLater) {
    MemoryStore store;
    {
        Watch before{store};
        (void)before.pipeline.carry_out(cellar::StartBatch{mild(), at(1min), {}}, at(1min));
        before.pipeline.stop(at(2min));
    }
    store.works = false;
    testing::ScriptedSource source;
    Heard heard;
    Pipeline after{cellar::Cellar{harbour_core()}, sensors::Intake{harbour_sensors()}, source, store, heard};
    after.resume(at(90min));
    EXPECT_EQ(after.ledger().problem(), "the disk is broken");

    source.send("cellar/north/pressure", "230", at(91min));
    (void)after.drain(at(91min));
    EXPECT_THAT(heard.unstored, SizeIs(::testing::Ge(1u))) << "it watches without a memory";

    store.works = true;
    const int commits = store.commits;
    after.advance(at(92min));

    const auto north = after.core().vessel("north");
    ASSERT_TRUE(north && north->batch) << "what was remembered is not overwritten with nothing";
    EXPECT_EQ(north->batch->name, "Harbour Mild");
    EXPECT_TRUE(after.ledger().store_ok());
    EXPECT_GT(store.commits, commits);
    EXPECT_THAT(store.readings, SizeIs(1)) << "and what was measured meanwhile is stored";
}

TEST(Renewal, WritesAllThatIsRememberedAnew) {
    MemoryStore store;
    Watch watch{store};
    watch.source.send("cellar/north/temperature", "19.5", at(1min));
    (void)watch.pipeline.drain(at(1min));
    (void)watch.pipeline.carry_out(cellar::StartBatch{mild(), at(1min), {}}, at(1min));
    store.sensors_written = 0;

    watch.pipeline.store_renewed(at(2min));

    EXPECT_EQ(store.sensors_written, 3u) << "both sensors, and the topics that nobody claims";
    bool has_batch = false;
    for (const auto& state : store.memory().core.states) has_batch = has_batch || state.batch.has_value();
    EXPECT_TRUE(has_batch);
}

TEST(Recall, ABatchRegisteredAfterItsReadingsFindsThemInTheStore) {
    MemoryStore store;
    Watch watch{store};
    for (int i = 1; i < 120; ++i) {
        watch.source.send("cellar/north/temperature", "19." + std::to_string(i % 7), at(i * 1min));
        (void)watch.pipeline.drain(at(i * 1min));
    }
    int asked = 0;
    store.on_read = [&] { ++asked; };

    const auto answer = watch.pipeline.carry_out(cellar::StartBatch{mild(), at(5min), {}}, at(2h));

    EXPECT_THAT(answer.problems, IsEmpty());
    EXPECT_EQ(asked, 1);
    EXPECT_EQ(store.readings.size(), 119u) << "what was pending is committed before it is read";
}

TEST(Command, ThatIsRefusedSaysWhyAndCommitsNothing) {
    MemoryStore store;
    Watch watch{store};
    const int commits = store.commits;

    const auto answer = watch.pipeline.carry_out(cellar::EndBatch{"north", at(1min)}, at(1min));

    EXPECT_THAT(answer.problems, SizeIs(1));
    EXPECT_EQ(store.commits, commits);
}

sensors::Reading past(const char* sensor, Quantity quantity, Timestamp when, double value) {
    sensors::Reading reading;
    reading.sensor = sensor;
    reading.vessel = "north";
    reading.quantity = quantity;
    reading.at = reading.arrived = when;
    reading.value = value;
    return reading;
}

TEST(History, IsStoredAndRingsNobody) {
    MemoryStore store;
    Watch watch{store};

    const auto stored =
        watch.pipeline.take_history({past("north-head", Quantity::head_pressure, at(-3h), 230),
                                     past("north-head", Quantity::head_pressure, at(-2h), 235)},
                                    true, at(1s));
    watch.pipeline.advance(at(2min));

    ASSERT_TRUE(stored) << stored.error();
    EXPECT_EQ(*stored, 2u);
    EXPECT_THAT(store.readings, SizeIs(2));
    EXPECT_THAT(watch.heard.transitions, IsEmpty()) << "a pressure of 230 kPa, live, would ring at once";
    EXPECT_THAT(store.outbox, IsEmpty());
}

TEST(History, IsRefusedInWordsWhenNothingCanBeStored) {
    MemoryStore store;
    Watch watch{store};
    store.works = false;
    const auto stored = watch.pipeline.take_history(
        {past("north-beer", Quantity::beer_temperature, at(-2h), 19)}, true, at(10s));
    ASSERT_FALSE(stored);
    EXPECT_THAT(stored.error(), ::testing::HasSubstr("the disk is full"));
}

/// A mild in its first hours, with a batch begun beforehand.
void begin_mild(Watch& watch) {
    batch::Plan plan;
    plan.name = "Harbour Mild";
    plan.vessel = "north";
    plan.volume_l = 21;
    plan.original_gravity = 1.038;
    plan.stages.emplace_back().kind = base::StageKind::ferment;
    (void)watch.pipeline.carry_out(cellar::StartBatch{plan, at(0s), "mild", cellar::Consent::given}, at(1s));
}

TEST(History, OfARunningBatchIsBelievedAsIfItHadComeLive) {
    MemoryStore live_store, store;
    Watch live{live_store}, watch{store};
    begin_mild(live);
    begin_mild(watch);
    std::vector<sensors::Reading> history;
    for (Duration t = 5min; t <= 6h; t += 5min) {
        live.source.send("cellar/north/temperature", "18.5", at(t));
        live.source.send("cellar/north/pressure", "2", at(t));
        while (live.pipeline.drain(at(t))) {
        }
        live.pipeline.advance(at(t));
        history.push_back(past("north-beer", Quantity::beer_temperature, at(t), 18.5));
        history.push_back(past("north-head", Quantity::head_pressure, at(t), 2));
    }
    live.pipeline.advance(at(8h));
    watch.pipeline.advance(at(8h));
    ASSERT_NE(watch.pipeline.core().vessel("north")->estimates,
              live.pipeline.core().vessel("north")->estimates)
        << "without the readings it cannot know";

    ASSERT_TRUE(watch.pipeline.take_history(history, true, at(8h)));
    while (watch.pipeline.drain(at(8h))) {
    }

    const auto known = live.pipeline.core().vessel("north")->estimates;
    const auto found = watch.pipeline.core().vessel("north")->estimates;
    ASSERT_TRUE(known.contains(Quantity::co2_volumes));
    const base::Estimate here = found.at(Quantity::co2_volumes), there = known.at(Quantity::co2_volumes);
    // Particles that live through it in one go are drawn anew at other moments.
    EXPECT_TRUE(here.low <= there.value && there.value <= here.high);
    EXPECT_TRUE(there.low <= here.value && here.value <= there.high);
    EXPECT_TRUE(watch.heard.transitions.empty());
}

}  // namespace
}  // namespace gyled::pipeline
