// Old news annunciates nobody: sensors that slept and history that was imported are recorded.
#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

Situation pressure_read(double kpa, Duration read, Duration moment) {
    Situation now = head_at(2, moment);
    now.latest[Quantity::head_pressure] = {kpa, at(read), 2h};
    return now;
}

TEST(OldNews, AReadingNinetyMinutesOldIsRecordedAndAFreshOneRings) {
    Watcher north;

    EXPECT_EQ(north.sees(pressure_read(175, -90min, 0min)), Said{"pressure_near_limit raised silently"});
    EXPECT_EQ(north.sees(pressure_read(175, -90min, 10min)), Said{});
    EXPECT_TRUE(north.phone.empty());

    EXPECT_EQ(north.sees(pressure_read(173, 11min, 11min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.sees(pressure_read(174, 12min, 12min)), Said{});
    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].title, "North: pressure 1.73 bar, 96 % of its limit");
    EXPECT_THAT(
        north.phone[0].text,
        testing::HasSubstr("Head pressure is 1.73 bar; the lowest rated part bears 1.80 bar. It was 1.75 "
                           "bar when raised at Sun 1 Mar 18:00."));
    EXPECT_EQ(north.log.back().at, at(11min));
    EXPECT_EQ(north.log.back().raised_at, at(0min));
}

TEST(OldNews, WhatReturnedBeforeAnybodyHeardStaysSilent) {
    Watcher north;
    (void)north.sees(pressure_read(175, -90min, 0min));

    (void)north.sees(pressure_read(100, 5min, 5min));
    EXPECT_EQ(north.sees(pressure_read(100, 7min, 7min)), Said{"pressure_near_limit cleared silently"});
    EXPECT_TRUE(north.phone.empty());
}

TEST(OldNews, OverARestartItIsStillRungWhenItStillStands) {
    Watcher before;
    (void)before.sees(pressure_read(175, -90min, 0min));
    Watcher after;
    before.restart_as(after);

    EXPECT_EQ(after.sees(pressure_read(175, 1min, 1min)), Said{"pressure_near_limit raised"});
}

TEST(OldNews, APersonWhoHasSeenItIsNotRungForIt) {
    Watcher north;
    (void)north.sees(pressure_read(175, -90min, 0min));
    ASSERT_TRUE(north.panel.acknowledge(north.log[0].alarm, at(1min)));

    EXPECT_EQ(north.sees(pressure_read(175, 2min, 2min)), Said{});
}

TEST(OldNews, AWorseStepOnFreshEvidenceRings) {
    Watcher north;
    EXPECT_EQ(north.sees(pressure_read(150, -90min, 0min)), Said{"pressure_near_limit raised silently"});

    EXPECT_EQ(north.sees(pressure_read(175, 1min, 1min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.phone.size(), 1U);
}

}  // namespace
}  // namespace gyled::alarms
