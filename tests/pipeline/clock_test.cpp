/// The pipeline under a clock that is set, unset, or nonsense for a month.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "daemon/pipeline/timekeeper.hpp"
#include "tests/pipeline/harbour_pipeline.hpp"

namespace gyled::pipeline {
namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr Duration year = 24h * 365;

TEST(ClockSetBack, CommitsAndRetriesGoOn) {
    MemoryStore store;
    Watch watch{store};
    for (Duration t = 0s; t < 1min; t += 1s) watch.pipeline.advance(at(t));
    watch.pipeline.set_clock({.from = at(1min), .to = at(1min) - 1h});

    watch.source.send("cellar/north/temperature", "19.5", at(1min) - 1h);
    (void)watch.pipeline.drain(at(1min) - 1h);
    watch.pipeline.advance(at(61s) - 1h);

    ASSERT_THAT(store.readings, SizeIs(1));
    EXPECT_EQ(watch.pipeline.core().now(), at(61s) - 1h);
}

TEST(ClockSetBack, WhileTheDaemonWasAwayItJudgesAtOnce) {
    MemoryStore store;
    {
        Watch ahead{store};  // an hour ahead, and nobody knew
        for (Duration t = 0s; t < 10min; t += 1min) {
            ahead.source.send("cellar/north/pressure", "20", at(1h + t));
            (void)ahead.pipeline.drain(at(1h + t));
        }
        ahead.pipeline.stop(at(1h + 10min));
    }
    Watch back{store};  // resumes at 0 h, within a store that ends at 1 h

    back.send_alarming_pressure(at(1s));
    (void)back.pipeline.drain(at(1s));

    EXPECT_THAT(back.heard.transitions, SizeIs(1));
    EXPECT_EQ(store.readings.size(), 11u) << "what was stored under the false time is kept";
}

TEST(ClockSetBack, AMessageStampedJustBeforeBlindsNobody) {
    MemoryStore store;
    Watch watch{store};
    watch.source.send("cellar/north/pressure", "20", at(1min));
    watch.pipeline.set_clock({.from = at(0s), .to = at(0s) - 1h});
    (void)watch.pipeline.drain(at(1s) - 1h);

    watch.send_alarming_pressure(at(2s) - 1h);
    (void)watch.pipeline.drain(at(2s) - 1h);
    EXPECT_THAT(watch.heard.transitions, SizeIs(1));
    EXPECT_EQ(store.readings.at(0).at, at(1s) - 1h);
}

TEST(ClockUnset, StoresNothingButWatchesThePressure) {
    MemoryStore store;
    {
        Watch before{store};
        before.pipeline.stop(at(1min));
    }
    const int commits = store.commits;
    testing::ScriptedSource source;
    Heard heard;
    Pipeline pipeline{cellar::Cellar{harbour_core()}, sensors::Intake{harbour_sensors()}, source, store,
                      heard};
    pipeline.resume_without_time();
    // The watch goes on where it ended, so the first message comes a second later.
    source.send("cellar/north/temperature", "19.5", at(61s));
    source.send("cellar/north/pressure", "230", at(62s));
    (void)pipeline.drain(at(62s));
    pipeline.advance(at(90s));

    EXPECT_EQ(store.commits, commits);
    EXPECT_THAT(source.released, IsEmpty()) << "the spool keeps them";
    ASSERT_THAT(heard.unstored, SizeIs(1)) << "the phone is tried";
    EXPECT_EQ(heard.unstored[0].rule, "pressure_near_limit");

    // The time comes: it was three days later.
    pipeline.set_clock({.from = at(91s), .to = at(72h + 91s), .false_since = at(60s)});
    pipeline.advance(at(72h + 92s));

    ASSERT_THAT(store.readings, SizeIs(2));
    EXPECT_EQ(store.readings[0].at, at(72h + 61s)) << "when it came, by the right time";
    EXPECT_THAT(source.released, ::testing::Not(IsEmpty()));
    EXPECT_THAT(heard.transitions, SizeIs(1)) << "nothing rang because of the jump";
    EXPECT_EQ(pipeline.core().vessel("north")->alarms.at(0).last.raised_at, at(72h + 62s));
}

TEST(ClockUnset, WhatFoundNoRoomMeanwhileIsTakenAgainUnderTheRightTime) {
    MemoryStore store;
    testing::ScriptedSource source;
    Heard heard;
    Parameters parameters;
    parameters.ledger.readings_waiting_max = 10;
    Pipeline pipeline{
        cellar::Cellar{harbour_core()}, sensors::Intake{harbour_sensors()}, source, store, heard, parameters};
    pipeline.resume_without_time();
    const Timestamp nowhere{1min};  // 1970
    for (int i = 0; i < 30; ++i) {
        source.send("cellar/north/temperature", i % 2 == 0 ? "19.5" : "19.6", nowhere + i * 1s);
        (void)pipeline.drain(nowhere + i * 1s);
    }
    ASSERT_EQ(pipeline.ledger().turned_away(), 20u);

    pipeline.set_clock({.from = nowhere + 30s, .to = at(30s), .false_since = nowhere});
    source.send("cellar/north/temperature", "19.5", at(31s));
    for (const Duration t : {31s, 32s, 33s}) {
        pipeline.advance(at(t));
        while (pipeline.drain(at(t))) {
        }
    }

    std::set<Timestamp> stored, came;
    for (const auto& reading : store.readings) stored.insert(reading.at);
    for (int i = 0; i < 30; ++i) came.insert(at(i * 1s));
    came.insert(at(31s));
    EXPECT_EQ(stored, came);
    EXPECT_THAT(source.spool, IsEmpty());
}

TEST(ClockUnset, EndsWithoutACommit) {
    MemoryStore store;
    testing::ScriptedSource source;
    Heard heard;
    Pipeline pipeline{cellar::Cellar{harbour_core()}, sensors::Intake{harbour_sensors()}, source, store,
                      heard};
    pipeline.resume_without_time();
    source.send("cellar/north/temperature", "19.5", at(1s));
    pipeline.stop(at(1s));
    EXPECT_EQ(store.commits, 0);
    EXPECT_THAT(source.released, IsEmpty());
}

TEST(Sleep, OfTheMachineIsNobodysSilence) {
    MemoryStore store;
    Watch watch{store};
    for (Duration t = 0s; t < 10min; t += 10s) {
        watch.source.send("cellar/north/temperature", "19.5", at(t));
        (void)watch.pipeline.drain(at(t));
        watch.pipeline.advance(at(t));
    }
    watch.pipeline.advance(at(9h));
    EXPECT_THAT(watch.heard.transitions, IsEmpty());
}

/// A month of true time; the wall is set some twenty times a day to any nonsense, and now and then right.
struct Month {
    unsigned seed;
    int days;
    bool brewing;  ///< with a batch; its beliefs, folded anew at each jump, take their time
};

class Nonsense : public ::testing::TestWithParam<Month> {
protected:
    const Duration month = 24h * GetParam().days;
    static constexpr Duration turn = 10s;  // so late may a pressure be told

    Nonsense()
        : pipeline{cellar::Cellar{harbour_core()},
                   sensors::Intake{harbour_sensors()},
                   source,
                   store,
                   heard,
                   seldom_committed()},
          keeper{look(), {}, parameters()} {
        pipeline.resume(keeper.at(steady()));
        if (!GetParam().brewing) return;
        batch::Plan plan;
        plan.name = "Harbour Mild";
        plan.vessel = "north";
        plan.volume_l = 21;
        batch::StagePlan serve;
        serve.kind = base::StageKind::serve;
        serve.temperature_c = base::Band{8, 14};
        plan.stages = {serve};
        const auto answer = pipeline.carry_out(cellar::StartBatch{plan, watch_time(), {}}, watch_time());
        EXPECT_THAT(answer.problems, IsEmpty());
    }

    static Parameters seldom_committed() {
        Parameters p;
        p.ledger.commit_every = 1min;  // for speed
        return p;
    }
    static TimekeeperParameters parameters() {
        TimekeeperParameters p;
        p.earliest = at(-24h * 30);
        return p;
    }
    [[nodiscard]] Duration steady() const { return 5h + true_; }
    [[nodiscard]] Timekeeper::Look look() const { return {at(true_ + off), steady(), false}; }
    [[nodiscard]] Timestamp watch_time() const { return keeper.at(steady()); }

    void set_the_wall() {
        const Duration sizes[] = {30s, 5min, 1h, 5h, 24h, 24h * 40, year, 5 * year};
        const Duration size =
            sizes[std::uniform_int_distribution<std::size_t>{0, std::size(sizes) - 1}(random)];
        const int way = std::uniform_int_distribution<int>{-1, 2}(random);  // right in one of four
        // Nobody sets a clock to the millisecond: no two moments get the same name twice.
        const Duration crooked{std::uniform_int_distribution<int>{1, 9'999}(random)};
        off = way == 0 ? 0s : (way == 2 ? size : way * size) + crooked;
    }

    /// One turn of the loop: what the App does once a second.
    void live_a_turn(double kpa) {
        true_ += turn;
        if (std::uniform_real_distribution<>{}(random) < 20 * turn / (24.0h)) set_the_wall();
        if (const auto set = keeper.look(look())) {
            pipeline.set_clock(*set);
            ++times_set;
        }
        const Timestamp now = watch_time();
        if (true_ % 5min == 0s)
            source.send("cellar/north/temperature", "11." + std::to_string(true_ / 5min % 3), now);
        if (true_ % 1min == 0s) source.send("cellar/north/pressure", std::to_string(kpa), now);
        (void)pipeline.drain(now);
        pipeline.advance(now);
    }
    [[nodiscard]] std::size_t steps() const { return heard.transitions.size(); }
    [[nodiscard]] std::vector<std::string> annunciated_since(std::size_t before) const {
        std::vector<std::string> rang;
        for (std::size_t i = before; i < steps(); ++i)
            if (const auto& step = heard.transitions[i]; step.annunciated)
                rang.push_back(step.rule + " " + std::string{alarms::name(step.priority)});
        return rang;
    }

    std::mt19937 random{GetParam().seed};
    Duration true_{}, off{};
    int times_set = 0;
    MemoryStore store;
    testing::ScriptedSource source;
    Heard heard;
    Pipeline pipeline;
    Timekeeper keeper;
};

TEST_P(Nonsense, RingsNobodyFalselyMissesNoPressureAndLosesNothing) {
    int readings = 0;
    std::size_t sent = 0;
    Duration next_trouble = 7h;
    while (true_ < month) {
        const bool is_trouble = true_ >= next_trouble && true_ < next_trouble + 10min;
        const std::size_t before = steps();
        live_a_turn(is_trouble ? 189 : 100 + std::uniform_real_distribution<>{0, 0.5}(random));
        readings += (true_ % 5min == 0s ? 1 : 0) + (true_ % 1min == 0s ? 1 : 0);
        const auto what_rang = annunciated_since(before);
        if (is_trouble && true_ % 1min == 0s && sent++ == 0) {
            ASSERT_THAT(what_rang, ::testing::Contains("pressure_near_limit critical"))
                << "told within its own turn, at " << true_ / 1h << " h";
        }
        for (const std::string& each : what_rang)
            ASSERT_THAT(each, ::testing::StartsWith("pressure_"))
                << "at " << true_ / 1h << " h, wall off by " << off / 1h << " h";
        if (true_ >= next_trouble + 30min) {
            EXPECT_THAT(pipeline.core().vessel("north")->alarms, IsEmpty()) << "and it is over again";
            next_trouble += 29h;
            sent = 0;
        }
    }
    EXPECT_GT(times_set, 5 * GetParam().days);
    pipeline.stop(watch_time());
    EXPECT_EQ(store.readings.size(), static_cast<std::size_t>(readings)) << "nothing is lost";
}

INSTANTIATE_TEST_SUITE_P(Months, Nonsense, ::testing::Values(Month{1, 30, false}, Month{2, 10, true}));

}  // namespace
}  // namespace gyled::pipeline
