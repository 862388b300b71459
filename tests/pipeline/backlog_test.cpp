/// A backlog of readings without a time of their own, through the daemon's heart and its deaths.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <optional>
#include <set>

#include "tests/pipeline/harbour_pipeline.hpp"

namespace gyled::pipeline {
namespace {

using ::testing::Contains;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;

/// One run, from `begin` on; it ends without a word, as by kill -9, unless `stop` is called.
struct Life {
    Life(MemoryStore& store, Duration begin, Parameters parameters = {})
        : pipeline{cellar::Cellar{harbour_core()}, sensors::Intake{harbour_sensors()}, source, store, heard,
                   std::move(parameters)} {
        pipeline.resume(at(begin));
    }
    /// One turn of the loop.
    void turn(Duration now) {
        (void)pipeline.drain(at(now));
        pipeline.advance(at(now));
    }
    void live(Duration from, Duration until, Duration step) {
        for (Duration t = from; t < until; t += step) turn(t);
    }
    /// From a broker that kept them: each 0.1 kPa higher than the one before.
    void send_backlog(int first, int last, Duration arrival) {
        for (int i = first; i <= last; ++i)
            source.send("cellar/north/pressure", std::to_string(i * 0.1), at(arrival) + Duration{i});
    }
    [[nodiscard]] std::vector<std::string> annunciated() const {
        std::vector<std::string> rang;
        for (const auto& step : heard.transitions)
            if (step.annunciated) rang.push_back(step.rule);
        return rang;
    }

    testing::ScriptedSource source;
    Heard heard;
    Pipeline pipeline;
};

/// Speaks each minute for an hour, and ends in order.
void live_for_an_hour(MemoryStore& store) {
    Life life{store, 0s};
    for (int minute = 1; minute <= 60; ++minute) {
        life.source.send("cellar/north/pressure", "20", at(minute * 1min));
        life.turn(minute * 1min);
    }
    life.pipeline.stop(at(1h + 10s));
    store.readings.clear();
}

/// As a database has it: of one time, the first.
MemoryStore unique(MemoryStore store) {
    std::set<Timestamp> known;
    std::erase_if(store.readings, [&](const auto& reading) { return !known.insert(reading.at).second; });
    return store;
}

/// 600 readings, 0.1 to 60 kPa, one for each minute from 1 h to 11 h.
void expect_each_at_its_minute(const MemoryStore& store) {
    std::map<int, std::vector<Timestamp>> times;
    for (const auto& reading : store.readings)
        times[static_cast<int>(std::lround(reading.value * 10))].push_back(reading.at);
    ASSERT_THAT(times, SizeIs(600));
    for (const auto& [minute, all] : times) {
        ASSERT_THAT(all, SizeIs(1)) << "doubled: " << minute;
        ASSERT_LE(std::chrono::abs(all[0] - at(1h + minute * 1min)), 1min) << minute;
    }
}

TEST(UndatedBacklog, IsStoredOverTheGapAndReleasedOnlyThen) {
    MemoryStore store;
    live_for_an_hour(store);
    Life life{store, 11h};
    life.send_backlog(1, 600, 11h);
    life.turn(11h + 1s);
    EXPECT_THAT(life.source.released, IsEmpty()) << "it waits for the rest, so the spool keeps it";

    life.live(11h + 2s, 11h + 6s, 1s);

    expect_each_at_its_minute(store);
    EXPECT_THAT(life.source.released, Not(IsEmpty()));
    EXPECT_THAT(life.annunciated(), IsEmpty());
}

TEST(UndatedBacklog, IsTheSameThroughDeathsInItsMiddle) {
    for (const Duration death : {Duration{0s}, Duration{1s}, Duration{2s}, Duration{3s}, Duration{5s}})
        for (const int had : {1, 300, 599}) {
            MemoryStore store;
            live_for_an_hour(store);
            {
                Life life{store, 11h};
                life.send_backlog(1, had, 11h);
                life.source.send("cellar/north/temperature", "19.5",
                                 at(11h));  // so that something is committed
                life.live(11h, 11h + death, 500ms);
            }
            Life life{store, 11h + 8s};
            life.send_backlog(1, had, 11h);  // from the spool, for nothing was released, or not in time
            life.turn(11h + 8s);
            life.send_backlog(had + 1, 600, 11h + 9s);
            life.live(11h + 9s, 11h + 15s, 500ms);

            std::map<int, int> counts;
            for (const auto& reading : store.readings)
                if (reading.quantity == Quantity::head_pressure)
                    ++counts[static_cast<int>(std::lround(reading.value * 10))];
            EXPECT_THAT(counts, SizeIs(600)) << "lost, dead at " << death / 1ms << " ms with " << had;
            for (const auto& [value, count] : counts) ASSERT_EQ(count, 1) << value;
        }
}

/// The store fails, memory has room for a part of the backlog only, and the rest is taken again.
TEST(UndatedBacklog, OfWhichAPartHadNoRoomInMemoryIsTakenAgainUnderTheSameTimes) {
    for (const std::size_t room : {1U, 300U, 599U}) {
        MemoryStore store;
        live_for_an_hour(store);
        Parameters parameters;
        parameters.ledger.readings_kept_max = room;
        Life life{store, 11h, parameters};
        store.works = false;
        life.source.send("cellar/north/temperature", "19.5", at(11h));  // so that it notices
        life.turn(11h);
        life.send_backlog(1, 600, 11h + 1s);
        life.live(11h + 1s, 11h + 20s, 1s);
        EXPECT_THAT(life.pipeline.ledger().turned_away(), ::testing::Ge(600 - room));

        store.works = true;
        life.live(11h + 20s, 11h + 60s, 1s);

        EXPECT_EQ(life.pipeline.ledger().turned_away(), 0u);
        std::erase_if(store.readings,
                      [](const auto& reading) { return reading.quantity != Quantity::head_pressure; });
        expect_each_at_its_minute(unique(store));
    }
}

/// ... and again, while another one waits to be dated.
TEST(UndatedBacklog, ThatWaitsWhileOthersAreTakenAgainIsStoredOnce) {
    MemoryStore store;
    live_for_an_hour(store);
    Parameters parameters;
    parameters.ledger.readings_kept_max = 1;
    Life life{store, 11h, parameters};
    store.works = false;
    for (int i = 0; i < 5; ++i)
        life.source.send("cellar/north/temperature", "19.5", at(11h) + Duration{i * 1000});
    life.live(11h, 11h + 10s, 1s);
    EXPECT_THAT(life.pipeline.ledger().turned_away(), ::testing::Ge(1u));

    life.send_backlog(1, 300, 11h + 10s);
    life.turn(11h + 10s);
    store.works = true;
    life.turn(11h + 11s);
    life.send_backlog(301, 600, 11h + 11s);
    life.live(11h + 12s, 11h + 60s, 1s);

    EXPECT_EQ(life.pipeline.ledger().turned_away(), 0u);
    std::erase_if(store.readings,
                  [](const auto& reading) { return reading.quantity != Quantity::head_pressure; });
    expect_each_at_its_minute(unique(store));
}

TEST(UndatedBacklog, OldPressureRingsNobodyAndTheNewestIsJudgedWithinTenSeconds) {
    for (const double newest : {20.0, 199.0}) {
        MemoryStore store;
        live_for_an_hour(store);
        Life life{store, 11h};
        for (int i = 1; i < 500; ++i)  // five hours ago and before
            life.source.send("cellar/north/pressure", i < 300 ? "198" : "20", at(11h) + Duration{i});
        life.source.send("cellar/north/pressure", std::to_string(newest), at(11h) + 500ms);
        life.live(11h, 11h + 10s, 1s);

        if (newest < 180)
            EXPECT_THAT(life.annunciated(), IsEmpty());
        else
            EXPECT_THAT(life.annunciated(), Contains("pressure_near_limit"));
        EXPECT_THAT(store.readings, SizeIs(500));
    }
}

TEST(UndatedBacklog, OfASensorsOwnQueueIsSpreadAsWell) {
    MemoryStore store;
    live_for_an_hour(store);
    Life life{store, 1h + 20s};
    life.live(1h + 20s, 11h, 1min);  // we listen, and it is out of reach
    life.send_backlog(1, 600, 11h);
    life.live(11h, 11h + 6s, 1s);
    expect_each_at_its_minute(store);
}

/// A spool that takes half a minute stands before what arrives.
class BehindAnEarlierRunsRest : public ::testing::Test {
protected:
    BehindAnEarlierRunsRest() {
        live_for_an_hour(store);
        Parameters slow;
        slow.messages_at_once = 1;
        life.emplace(store, 11h, slow);
        for (int i = 1; i <= 30; ++i)
            life->source.send("cellar/north/pressure", "20", at(1h + 10s) + Duration{i * 1000});
    }
    /// It arrives, and is looked at ahead of its turn.
    void arrives(const char* kpa, Duration when) {
        sensors::Message message{"cellar/north/pressure", kpa, at(11h) + when, false};
        life->source.waiting.push_back(message);
        life->source.ahead.push_back(std::move(message));
    }
    MemoryStore store;
    std::optional<Life> life;
};

TEST_F(BehindAnEarlierRunsRest, ADangerIsToldWithinTenSecondsAndStoredInItsTurn) {
    arrives("199", 0s);
    life->live(11h, 11h + 10s, 1s);
    EXPECT_THAT(life->annunciated(), Contains("pressure_near_limit"));
    EXPECT_THAT(store.readings, SizeIs(::testing::Le(10u))) << "what stood before it is not all taken";
    const auto told = life->annunciated();

    life->live(11h + 10s, 11h + 50s, 1s);

    EXPECT_THAT(store.readings, SizeIs(31));
    EXPECT_EQ(life->annunciated(), told) << "it comes again, and is no news";
}

TEST_F(BehindAnEarlierRunsRest, OldNewsRingsNobodyAheadOfItsTurnEither) {
    for (int i = 0; i < 300; ++i) arrives("198", Duration{i});
    arrives("20", Duration{300});

    life->live(11h, 11h + 30s, 1s);

    EXPECT_THAT(life->annunciated(), IsEmpty());
}

TEST(UndatedBacklog, AtAnOrderlyEndNothingOfItIsLost) {
    MemoryStore store;
    live_for_an_hour(store);
    Life life{store, 11h};
    life.send_backlog(1, 600, 11h);
    life.turn(11h + 1s);
    life.pipeline.stop(at(11h + 2s));
    EXPECT_THAT(store.readings, SizeIs(600));
}

}  // namespace
}  // namespace gyled::pipeline
