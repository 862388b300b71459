// The ways by which gas should leave: the vent of a vented stage.
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

}  // namespace
}  // namespace gyled::alarms
