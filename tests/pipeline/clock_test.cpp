/// The pipeline under a clock that is set, or unset.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "tests/pipeline/harbour_pipeline.hpp"

namespace gyled::pipeline {
namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

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
    source.stamp = sensors::Stamp::provisional;
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
    for (Duration t = 92s; t < 96s; t += 1s) pipeline.advance(at(72h + t));

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
    source.stamp = sensors::Stamp::provisional;
    const Timestamp nowhere{1min};  // 1970
    for (int i = 0; i < 30; ++i) {
        source.send("cellar/north/temperature", i % 2 == 0 ? "19.5" : "19.6", nowhere + i * 1s);
        (void)pipeline.drain(nowhere + i * 1s);
    }
    ASSERT_EQ(pipeline.ledger().turned_away(), 20u);

    pipeline.set_clock({.from = nowhere + 30s, .to = at(30s), .false_since = nowhere});
    source.stamp = sensors::Stamp::right;
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

/// A run that knows no time: it begins where the last one ended, with a batch, at `ended`.
class ClockUnsetWithABatch : public ::testing::Test {
protected:
    static constexpr Duration ended = 1h;

    ClockUnsetWithABatch() {
        {
            Pipeline before{cellar::Cellar{harbour_core()}, sensors::Intake{sensors()}, source, store, heard};
            before.resume(at(0s));
            EXPECT_THAT(before.carry_out(cellar::StartBatch{mild(), at(0s), {}}, at(0s)).problems, IsEmpty());
            for (Duration t = 0s; t <= ended; t += 1min) {
                send_temperature(19.5, at(t), at(t));
                source.send("cellar/north/pressure", "20", at(t));
                (void)before.drain(at(t));
                before.advance(at(t));
            }
            before.stop(at(ended));
        }
        store.readings.clear();
        heard = {};
        source.released.clear();
        source.stamp = sensors::Stamp::provisional;
        pipeline.resume_without_time();
    }

    /// The thermometer tells its own time, the gauge does not.
    static std::vector<sensors::SensorSpec> sensors() {
        auto specs = harbour_sensors();
        specs[0].payload = sensors::PayloadKind::json;
        specs[0].pointer = "/c";
        specs[0].time_pointer = "/ts";
        return specs;
    }
    static batch::Plan mild() {
        batch::Plan plan;
        plan.name = "Harbour Mild";
        plan.vessel = "north";
        plan.volume_l = 21;
        batch::StagePlan ferment;
        ferment.kind = base::StageKind::ferment;
        ferment.temperature_c = base::Band{18, 20.5};
        plan.stages = {ferment};
        return plan;
    }
    void send_temperature(double celsius, Timestamp own, Timestamp arrived) {
        source.send("cellar/north/temperature",
                    R"({"c": )" + std::to_string(celsius) + R"(, "ts": ")" + base::to_rfc3339(own) + "\"}",
                    arrived);
    }
    void turn(Duration t) {
        (void)pipeline.drain(at(t));
        pipeline.advance(at(t));
    }
    /// It was `later`, in truth.
    void set_the_clock(Duration now, Duration later) {
        source.stamp = sensors::Stamp::right;
        pipeline.set_clock({.from = at(now), .to = at(now + later), .false_since = at(ended)});
        for (Duration t = 1s; t < 5s; t += 1s) turn(now + later + t);
    }
    [[nodiscard]] std::vector<std::string> annunciated() const {
        std::vector<std::string> rang;
        for (const auto& step : heard.transitions)
            if (step.annunciated) rang.push_back(step.rule);
        return rang;
    }

    MemoryStore store;
    testing::ScriptedSource source;
    Heard heard;
    Pipeline pipeline{cellar::Cellar{harbour_core()}, sensors::Intake{sensors()}, source, store, heard};
};

TEST_F(ClockUnsetWithABatch, NoRuleOfItRingsButPressureDoesAndTheRestOnceTheTimeIsKnown) {
    Duration t = ended;
    for (; t < ended + 3h; t += 1min) {  // the gauge falls silent, the beer is far too warm
        send_temperature(27, at(t), at(t));
        turn(t);
    }
    EXPECT_THAT(heard.transitions, IsEmpty());
    source.send("cellar/north/pressure", "199", at(t));
    for (const Duration end = t + 10s; t < end; t += 1s) turn(t);
    EXPECT_THAT(annunciated(), ::testing::Each(::testing::StartsWith("pressure_")));
    EXPECT_THAT(annunciated(), ::testing::Contains("pressure_near_limit"));

    set_the_clock(t, 72h);
    for (Duration more = 1min; more < 2h; more += 1min) {
        send_temperature(27, at(t + 72h + more), at(t + 72h + more));
        turn(t + 72h + more);
    }
    EXPECT_THAT(annunciated(), ::testing::Contains("temperature_out_of_band"));
}

TEST_F(ClockUnsetWithABatch, ReadingsThatTellTheirTimeAreStoredUnderItWhateverOursWas) {
    // Three days later in truth: a float wakes and sends what it took every hour since.
    for (int hour = 2; hour < 72; ++hour)
        send_temperature(19 + hour * 0.001, at(hour * 1h), at(ended + 10s) + Duration{hour});
    turn(ended + 11s);
    EXPECT_THAT(store.readings, IsEmpty());
    set_the_clock(ended + 20s, 71h);

    ASSERT_THAT(store.readings, SizeIs(70));
    for (std::size_t i = 0; i < 70; ++i) EXPECT_EQ(store.readings[i].at, at(static_cast<int>(i + 2) * 1h));
}

TEST_F(ClockUnsetWithABatch, ABacklogWithoutTimesIsSpreadOverTheTrueGap) {
    for (int i = 1; i <= 600; ++i)  // ten hours away, a reading a minute
        source.send("cellar/north/pressure", std::to_string(i * 0.1), at(ended + 1s) + Duration{i});
    turn(ended + 2s);
    turn(ended + 10s);
    set_the_clock(ended + 20s, 10h - 10s);

    ASSERT_THAT(store.readings, SizeIs(600));
    for (std::size_t i = 0; i < 600; ++i)
        EXPECT_LE(std::chrono::abs(store.readings[i].at - at(ended + static_cast<int>(i + 1) * 1min)), 1min);
}

TEST_F(ClockUnsetWithABatch, BelievesWhatASecondLifeBelieves) {
    for (Duration t = ended; t < ended + 2h; t += 1min) {
        send_temperature(19.5, at(t + 72h), at(t));
        turn(t);
    }
    set_the_clock(ended + 2h, 72h);
    const Duration now = ended + 74h + 1h;
    turn(now);
    pipeline.stop(at(now));

    Pipeline second{cellar::Cellar{harbour_core()}, sensors::Intake{sensors()}, source, store, heard};
    second.resume(at(now));
    EXPECT_EQ(second.core().vessel("north")->latest.at(Quantity::beer_temperature).at,
              pipeline.core().vessel("north")->latest.at(Quantity::beer_temperature).at);
    EXPECT_EQ(store.readings.front().at, at(ended + 72h));
}

TEST_F(ClockUnsetWithABatch, WhatAnEarlierRunLeftThatDidNotKnowTheTimeEitherIsTakenAsOfNow) {
    source.stamp = sensors::Stamp::lost;
    send_temperature(19.5, at(50h), at(ended + 7s));
    source.send("cellar/north/pressure", "20", at(ended + 7s));
    turn(ended + 1s);
    set_the_clock(ended + 20s, 71h);

    ASSERT_THAT(store.readings, SizeIs(2));
    EXPECT_EQ(store.readings[0].at, at(50h)) << "it says so itself";
    EXPECT_EQ(store.readings[1].at, at(ended + 71h + 1s));
}

TEST_F(ClockUnsetWithABatch, BeyondWhatFitsIsJudgedAndTakenAgainFromTheSource) {
    const std::string junk(60'000, ' ');
    for (int i = 0; i < 200; ++i)
        source.send("cellar/north/temperature",
                    R"({"c": 19.5, "ts": ")" + base::to_rfc3339(at(i * 1min)) + "\"}" + junk, at(ended));
    turn(ended + 1s);
    set_the_clock(ended + 20s, 10h);
    std::set<Timestamp> stored;
    for (const auto& reading : store.readings) stored.insert(reading.at);
    EXPECT_EQ(stored.size(), 200u) << "what had no room was taken again";
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

}  // namespace
}  // namespace gyled::pipeline
