/// Only what is committed may be forgotten, whatever the store and the source do.

#include "daemon/pipeline/pipeline.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

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

TEST(StoreFailure, BeyondTheBoundTheOldestReadingsGoAndAreCounted) {
    MemoryStore store;
    Parameters parameters;
    parameters.ledger.readings_kept_max = 20;
    Watch watch{store, parameters};
    store.works = false;

    for (int i = 0; i < 50; ++i)
        watch.source.send("cellar/north/temperature", i % 2 == 0 ? "19.5" : "19.6", at(i * 1min));
    (void)watch.pipeline.drain(at(50min));
    EXPECT_EQ(watch.pipeline.ledger().dropped(), 30u);

    store.works = true;
    watch.pipeline.advance(at(51min));
    ASSERT_THAT(store.readings, SizeIs(20));
    EXPECT_EQ(store.readings.front().at, at(30min));
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

}  // namespace
}  // namespace gyled::pipeline
