/// The core when the clock is set: the same moment has another name, and nothing else has happened.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <set>

#include "tests/cellar/harbour.hpp"
#include "tests/cellar/kept.hpp"

namespace gyled::cellar {
namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr Duration year = 24h * 365;

/// A core with the mild in it, and readings at a minute's interval of what the clock says. 105 % of the limit
/// of 180 kPa is 189.
class Fermenting : public ::testing::Test {
protected:
    Fermenting() {
        (void)core.advance_to(at(0h));
        told = core.accept(StartBatch{mild(), at(0h), {}});
        live(2h);
    }
    void live(Duration span, double kpa = 2) {
        for (Duration t{}; t < span; t += 1min) {
            told.append(core.advance_to(now + 1min));
            now += 1min;
            for (sensors::Reading r :
                 {reading(Quantity::beer_temperature, 0s, 19.5), reading(Quantity::gravity, 0s, 1.038),
                  reading(Quantity::head_pressure, 0s, kpa)}) {
                r.at = r.arrived = now;
                told.append(core.accept(r));
            }
        }
    }
    void set_clock(Duration by) {
        told.append(core.set_clock({.from = now, .to = now + by}));
        now += by;
    }

    Cellar core{harbour()};
    Timestamp now = at(0h);
    Effects told;
};

TEST_F(Fermenting, AnHourBackAPressureStillRingsAtOnce) {
    set_clock(-1h);
    live(1min, 189);
    ASSERT_THAT(told.notices, SizeIs(1));
    EXPECT_EQ(told.notices[0].priority, alarms::Priority::critical);
    EXPECT_EQ(core.vessel("north")->latest.at(Quantity::head_pressure).at, now);
}

TEST_F(Fermenting, AYearAheadAndBackLeavesNoTrace) {
    set_clock(year);
    live(2h);
    set_clock(-year);
    live(30min);

    EXPECT_THAT(told.notices, IsEmpty()) << told.notices[0].text;
    const auto view = *core.vessel("north");
    EXPECT_EQ(view.batch->started, at(0h));
    EXPECT_EQ(view.batch->stage_since, at(0h));
    EXPECT_LE(view.estimates_at, now);
    EXPECT_GT(view.estimates_at, now - 16min) << "belief goes on";
    live(1min, 189);
    EXPECT_THAT(told.notices, SizeIs(1));
}

TEST(ClockSet, DelaysGoOnWhereTheyStood) {
    // Out of band: 25 degC rings after its delay, by minutes lived, however the clock is set meanwhile.
    const auto minutes_until_it_rings = [](std::vector<Duration> steps) {
        Cellar core{harbour()};
        Timestamp now = at(0h);
        Effects told = core.advance_to(now);
        told = core.accept(StartBatch{mild(), now, {}});
        const auto live = [&](double celsius) {
            now += 1min;
            told.append(core.advance_to(now));
            sensors::Reading r = reading(Quantity::beer_temperature, 0s, celsius);
            r.at = r.arrived = now;
            told.append(core.accept(r));
        };
        for (int i = 0; i < 120; ++i) live(19.5);
        told = {};
        for (int minute = 0; minute < 240; ++minute) {
            live(25);
            if (!told.notices.empty()) return minute;
            if (minute == 5)
                for (const Duration by : steps) {
                    told.append(core.set_clock({.from = now, .to = now + by}));
                    now += by;
                }
        }
        return -1;
    };
    const int undisturbed = minutes_until_it_rings({});
    EXPECT_GT(undisturbed, 5);
    EXPECT_EQ(minutes_until_it_rings({-1h}), undisturbed);
    EXPECT_EQ(minutes_until_it_rings({3h}), undisturbed);
    EXPECT_EQ(minutes_until_it_rings({year, -year - 10min}), undisturbed);
}

TEST_F(Fermenting, ASilenceIsStillTold) {
    set_clock(-3h);
    told = {};
    for (Duration t{}; t < 2h; t += 1min) told.append(core.advance_to(now += 1min));
    ASSERT_FALSE(told.notices.empty());
    EXPECT_EQ(told.notices[0].rule, "sensor_silent");
}

TEST_F(Fermenting, AStageEnteredUnderAFalseTimeIsCorrected) {
    set_clock(year);
    live(10min);
    told.append(core.accept(EnterStage{"north", now, {}, "by hand"}));
    live(10min);
    set_clock(-year);

    const auto batch = *core.vessel("north")->batch;
    EXPECT_EQ(batch.stage_index, 1u);
    EXPECT_EQ(batch.stage_since, now - 10min);
    EXPECT_EQ(batch.started, at(0h));
}

TEST_F(Fermenting, APlannedStageThatAFalseTimeBroughtIsLeftAgain) {
    Cellar planned{harbour()};
    batch::Plan plan = mild();
    plan.stages[1].start = at(24h * 14);
    Effects ignored = planned.advance_to(at(0h));
    ignored = planned.accept(StartBatch{plan, at(0h), {}});
    ignored = planned.set_clock({.from = at(0h), .to = at(year)});
    ignored = planned.advance_to(at(year) + 2min);
    ASSERT_EQ(planned.vessel("north")->batch->stage_index, 1u);

    ignored = planned.set_clock({.from = at(year) + 2min, .to = at(2min)});
    EXPECT_EQ(planned.vessel("north")->batch->stage_index, 0u);
}

TEST(Gap, OfYearsCostsNoMoreThanAMonth) {
    const auto seconds_for = [](Duration gap) {
        Cellar core{harbour()};
        Effects ignored = core.advance_to(at(0h));
        ignored = core.accept(StartBatch{mild(), at(0h), {}});
        for (const auto& r : an_ale(0h, 30h)) {
            ignored = core.advance_to(r.at);
            ignored = core.accept(r);
        }
        const auto began = std::chrono::steady_clock::now();
        const Effects effects = core.advance_to(at(30h) + gap);
        EXPECT_LT(effects.estimates.size(), 100'000u);
        EXPECT_EQ(core.now(), at(30h) + gap);
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    };
    // 174 years, as of a stray line of a log.
    EXPECT_LT(seconds_for(174 * year), 3 * seconds_for(24h * 60) + 0.5);
}

TEST(Gap, OfDaysIsWatchedByTheMinuteAtFirstAndByTheHourThen) {
    Cellar core{harbour()};
    Effects effects = core.advance_to(at(0h));
    effects = core.accept(StartBatch{mild(), at(0h), {}});
    for (const auto& r : an_ale(0h, 30h)) {
        effects = core.advance_to(r.at);
        effects = core.accept(r);
    }
    effects = core.advance_to(at(30h) + 24h * 20);

    ASSERT_FALSE(effects.transitions.empty());
    for (const alarms::Transition& step : effects.transitions)
        EXPECT_LE(step.at, at(54h)) << step.rule << ": whatever silence leads to comes within a day";
    std::set<Timestamp> believed;
    for (const EstimatePoint& point : effects.estimates) believed.insert(point.at);
    EXPECT_GE(believed.size(), 20u * 24 * 4) << "each quarter of an hour all the same";
}

TEST(SensorClock, AheadAndThenSetRightBlindsNobody) {
    Cellar core{harbour()};
    Effects told = core.advance_to(at(0h));
    sensors::Reading ahead = reading(Quantity::head_pressure, 110s, 20);
    ahead.arrived = at(0s);
    told.append(core.accept(ahead));

    told.append(core.accept(reading(Quantity::head_pressure, 1s, 189)));
    EXPECT_THAT(told.notices, SizeIs(1));
}

sensors::Reading late_pressure(Duration arrived, double kpa, sensors::Lateness lateness) {
    sensors::Reading r = reading(Quantity::head_pressure, arrived, kpa);
    r.at -= 5h;
    r.lateness = lateness;
    return r;
}

TEST(SensorClock, ALivePressureFromASlowClockRingsAtOnce) {
    Cellar core{harbour()};
    Effects told = core.advance_to(at(0h));
    told.append(core.accept(late_pressure(0s, 189, sensors::Lateness::live)));
    EXPECT_THAT(told.notices, SizeIs(1));
}

TEST(SensorClock, ALoneOldPressureRingsWhenNoBacklogFollowsWithinTenSeconds) {
    Cellar core{harbour()};
    Effects told = core.advance_to(at(0h));
    told.append(core.accept(late_pressure(0s, 189, sensors::Lateness::unproven)));
    EXPECT_THAT(told.notices, IsEmpty());
    for (Duration t = 0s; t <= 9s; t += 1s) told.append(core.advance_to(at(t)));
    EXPECT_THAT(told.notices, SizeIs(1));
}

TEST(SensorClock, TheFirstOfABacklogRingsNobody) {
    Cellar core{harbour()};
    Effects told = core.advance_to(at(0h));
    told.append(core.accept(late_pressure(0s, 189, sensors::Lateness::unproven)));
    sensors::Reading next = late_pressure(3ms, 189, sensors::Lateness::backlog);
    next.at += 1min;
    told.append(core.accept(next));
    for (Duration t = 0s; t <= 1min; t += 1s) told.append(core.advance_to(at(t)));
    EXPECT_THAT(told.notices, IsEmpty());
}

TEST(SensorClock, ALoneOldPressureIsRememberedOverARestart) {
    Cellar core{harbour()};
    Kept store;
    Effects told = core.advance_to(at(0h));
    store.keep(told, core);
    told = core.accept(late_pressure(0s, 189, sensors::Lateness::unproven));
    store.keep(told, core);

    Cellar back = store.restarted(harbour());
    told = back.advance_to(at(6s));
    EXPECT_THAT(told.notices, SizeIs(1));
}

}  // namespace
}  // namespace gyled::cellar
