// The ways by which gas should leave: the vent of a vented stage, and the relief valve.
#include <algorithm>
#include <map>
#include <set>

#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

/// A vessel that its plan says is open to the air.
Situation vented_at(double kpa, Duration moment) {
    return with(fermenting(moment), Quantity::head_pressure, kpa);
}

TEST(VentBlocked, RingsWhenAVentedStageHoldsPressureForFiveMinutes) {
    Watcher north;

    EXPECT_EQ(north.sees(vented_at(4.9, 0min)), Said{}) << "zeros of sensors, weather, a hose under water";
    EXPECT_EQ(north.sees(vented_at(5.4, 1min)), Said{});
    EXPECT_EQ(north.sees(vented_at(9, 5min)), Said{});
    EXPECT_EQ(north.sees(vented_at(11, 6min)), Said{"vent_blocked raised"});
    EXPECT_EQ(north.sees(vented_at(30, 60min)), Said{}) << "once";
    EXPECT_EQ(north.sees(vented_at(3.5, 61min)), Said{}) << "not by the deadband";
    EXPECT_EQ(north.sees(vented_at(1, 62min)), Said{});
    EXPECT_EQ(north.sees(vented_at(1, 64min)), Said{"vent_blocked cleared"});

    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_EQ(north.phone[0].title, "North: the vent is blocked, 0.11 bar");
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("Do not open the lid"));
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("shut no valve"));
    EXPECT_THAT(north.phone[1].text, testing::HasSubstr("at worst 0.30 bar"));
}

TEST(VentBlocked, FoamThatLiftsAndFallsIsNoNews) {
    Watcher north;
    for (auto moment = 0min; moment < 10h; moment += 6min) {
        EXPECT_EQ(north.sees(vented_at(8, moment)), Said{});
        EXPECT_EQ(north.sees(vented_at(8, moment + 4min)), Said{});
        EXPECT_EQ(north.sees(vented_at(2, moment + 5min)), Said{});
    }
}

TEST(VentBlocked, ALoneWildReadingOfASlowSensorIsNoNews) {
    Watcher north;
    Situation now = vented_at(40, 0min);
    for (auto moment = 0min; moment < 10min; moment += 1min) {
        now.at = at(moment);
        EXPECT_EQ(north.sees(now), Said{}) << moment.count();
    }

    EXPECT_EQ(north.sees(vented_at(1, 10min)), Said{});
}

TEST(VentBlocked, WhereThePlanHoldsPressureNothingIsBlocked) {
    for (const HeadSpace mode : {HeadSpace::spunded, HeadSpace::sealed, HeadSpace::supplied}) {
        Watcher north;
        for (const auto moment : {0min, 5min, 10min, 20min}) {
            Situation now = vented_at(60, moment);
            now.head_space = mode;
            EXPECT_EQ(north.sees(now), Said{});
        }
    }
    for (const StageKind stage : {StageKind::purge, StageKind::tightness}) {
        Watcher north;
        for (const auto moment : {0min, 5min, 10min, 20min}) {
            Situation now = vented_at(60, moment);
            now.stage = stage;
            EXPECT_EQ(north.sees(now), Said{}) << "filled and let off on purpose";
        }
    }
    Watcher empty;
    for (const auto moment : {0min, 5min, 10min, 20min}) {
        Situation now = vented_at(60, moment);
        now.batch_name.reset();
        now.stage.reset();
        EXPECT_EQ(empty.sees(now), Said{}) << "nobody said that it is open";
    }
}

TEST(VentBlocked, EndsWhenThePersonSaysThatItIsShut) {
    Watcher north;
    (void)north.sees(vented_at(20, 0min));
    ASSERT_EQ(north.sees(vented_at(20, 5min)), Said{"vent_blocked raised"});

    Situation now = vented_at(21, 6min);
    now.head_space = HeadSpace::spunded;
    EXPECT_EQ(north.sees(now), Said{"vent_blocked cleared"});
}

TEST(VentBlocked, IsNotToldTwiceOfAClosedKettle) {
    Watcher north;
    for (const auto moment : {0min, 5min, 10min}) {
        Situation now = with(vented_at(12, moment), Quantity::beer_temperature, 98);
        now.stage = StageKind::boil;
        now.temperature_band_c.reset();
        (void)north.sees(now);
    }

    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].rule, "heating_shut");
}

TEST(VentBlocked, NonsenseNeitherRingsNorClears) {
    Watcher north;
    (void)north.sees(vented_at(20, 0min));
    ASSERT_EQ(north.sees(vented_at(20, 5min)), Said{"vent_blocked raised"});
    for (const double nonsense : {nan, infinity, -infinity})
        for (auto moment = 6min; moment < 30min; moment += 1min)
            EXPECT_EQ(north.sees(vented_at(nonsense, moment)), Said{});
}

TEST(VentBlocked, ItsOwnDelayMayBeAskedForWithoutAcceptingARisk) {
    RuleTuning tuning;
    tuning.rule = "vent_blocked";
    tuning.on_delay = 5min;
    EXPECT_TRUE(check(tuning).empty());
    tuning.on_delay = 6min;
    EXPECT_EQ(check(tuning).size(), 1U);
}

// ---- the relief valve

/// Shut, with a relief valve of 180 kPa that has opened `count` times since 15:02, the last time just now.
Situation lifted(int count, double kpa, Duration moment) {
    Situation now = head_at(kpa, moment);
    now.relief_kpa = 180;
    now.relief = estimation::gas::ReliefHistory{
        .count = count, .first = at(-178min), .last = at(moment), .opens_kpa = 181, .reseats_kpa = 168};
    return now;
}

TEST(ReliefLifting, IsSaidOnceAndCriticalAtTheFirstOpening) {
    Watcher north;

    EXPECT_THAT(north.sees(lifted(1, 170, 0min)), testing::Contains("relief_lifting raised"));
    const auto before = north.phone.size();
    for (const annunciation::Notice& told : north.phone)
        ASSERT_TRUE(north.panel.acknowledge(told.thread, at(1min)));
    for (int n = 1; n < 6; ++n) EXPECT_EQ(north.sees(lifted(1 + n, 170, n * 80min)), Said{});

    EXPECT_EQ(north.phone.size(), before) << "each further opening is the same alarm";
    const annunciation::Notice& told = north.phone.front();
    EXPECT_EQ(told.rule, "relief_lifting");
    EXPECT_EQ(told.priority, Priority::critical);
    EXPECT_EQ(told.title, "North: the relief valve has opened, 1.81 bar");
    EXPECT_THAT(told.text,
                testing::StartsWith("Cool the beer and shut the gas: fermentation must be stopped, never "
                                    "the valve. The relief valve has opened once, at Sun 1 Mar 15:02, at "
                                    "1.81 bar; it is set to 1.80 bar. "));
    EXPECT_THAT(told.text, testing::HasSubstr("Never block, cap or reset the relief valve"));
    const auto standing = north.panel.standing();
    const auto one = std::find_if(standing.begin(), standing.end(),
                                  [](const Occurrence& o) { return o.last.rule == "relief_lifting"; });
    ASSERT_NE(one, standing.end());
    EXPECT_THAT(one->present.text,
                testing::StartsWith("The relief valve has opened 6 times since Sun 1 Mar 15:02, "
                                    "at 1.81 bar; it is set to 1.80 bar."));
}

/// Somebody acknowledges each ring, and is reminded twice a day.
TEST(ReliefLifting, ItsSawtoothFloodsNoLog) {
    Watcher north;
    for (auto moment = 0min; moment < 96h; moment += 1min) {  // up in 78 minutes, down at once
        const double share = static_cast<double>((moment / 1min) % 80) / 78;
        const double kpa = std::max(168.0, 181 - 13 * std::abs(1 - share) / 1.0);
        Situation now = lifted(1 + static_cast<int>(moment / 80min), kpa, moment);
        if (share < 0.9)
            now = believing(now, Quantity::limit_time, base::unix_seconds(now.at) + (181 - kpa) * 360);
        (void)north.sees(now);
        for (const Occurrence& one : north.panel.standing())
            if (one.state == AlarmState::raised) (void)north.panel.acknowledge(one.last.alarm, now.at);
    }

    std::map<std::string, std::set<std::string>> alarms;
    for (const Transition& step : north.log) alarms[step.rule].insert(step.alarm);
    EXPECT_EQ(alarms["relief_lifting"].size(), 1U);
    EXPECT_LE(alarms["pressure_rising_to_limit"].size(), 1U);
    EXPECT_LE(north.phone.size(), 4U + 2 * 96 / 12);
}

TEST(ReliefLifting, IsOverWhenTheBeerIsCooledOrTheGasLetOff) {
    Watcher north;
    (void)north.sees(lifted(3, 170, 0min));
    Situation now = lifted(3, 150, 60min);
    now.relief->last = at(0min);

    EXPECT_THAT(north.sees(now), testing::Not(testing::Contains("relief_lifting cleared")));
    now.at = at(90min);
    now.latest[Quantity::head_pressure].at = at(90min);
    EXPECT_THAT(north.sees(now), testing::Contains("relief_lifting cleared"));
}

TEST(ReliefLifting, IsOverWhenItHasNotOpenedForHalfADay) {
    Watcher north;
    (void)north.sees(lifted(3, 170, 0min));
    Situation now = lifted(3, 170, 12h);
    now.relief->last = at(0min);
    (void)north.sees(now);
    now = lifted(3, 170, 12h + 1min);
    now.relief->last = at(0min);
    (void)north.sees(now);
    now.at += 30min;
    EXPECT_THAT(north.sees(now), testing::Contains("relief_lifting cleared"));
}

TEST(ReliefLifting, AValveThatHasNotOpenedIsNoNews) {
    Watcher north;
    Situation now = fermenting(0min);
    now.relief = estimation::gas::ReliefHistory{};

    EXPECT_EQ(north.sees(now), Said{});
}

}  // namespace
}  // namespace gyled::alarms
