// Are we still hearing anything? Silence of sensors and of the broker, and what the one explains of the
// other.
#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

/// All sensors spoke last at `heard`, and it is now `moment`.
Situation heard_last(Duration heard, Duration moment) {
    Situation now = fermenting(heard);
    now.at = at(moment);
    return now;
}
Situation heard_last(std::string_view sensor, Duration heard, Duration moment) {
    Situation now = fermenting(moment);
    for (SensorSilence& one : now.sensors)
        if (one.sensor == sensor) {
            one.last_at = at(heard);
            now.latest[one.quantity].at = at(heard);
        }
    return now;
}
Situation watch(bool connected, Duration moment) {
    Situation now;
    now.at = at(moment);
    now.broker_connected = connected;
    return now;
}

TEST(SensorSilent, RingsForTheSensorThatFellSilent) {
    Watcher north;

    EXPECT_EQ(north.sees(fermenting(0min)), Said{});
    EXPECT_EQ(north.sees(heard_last("north-gravity", 0min, 45min)), Said{});
    EXPECT_EQ(north.sees(heard_last("north-gravity", 0min, 46min)),
              Said{"sensor_silent/north-gravity raised"});
    EXPECT_EQ(north.sees(heard_last("north-gravity", 0min, 5h)), Said{});
    EXPECT_EQ(north.sees(fermenting(5h + 1min)), Said{"sensor_silent/north-gravity cleared"});

    EXPECT_EQ(north.phone[0].title, "North: no gravity readings");
    EXPECT_THAT(north.phone[0].text,
                testing::HasSubstr("Nothing from north-gravity since Sun 1 Mar 18:00. "));
    EXPECT_EQ(north.phone[1].title, "North: gravity is reporting again");
    EXPECT_EQ(north.log[0].alarm,
              "north/sensor_silent/north-gravity/" + std::to_string(at(46min).time_since_epoch().count()));
}

TEST(SensorSilent, OneDeadDeviceRingsOnce) {
    Watcher north;
    (void)north.sees(fermenting(0min));

    const Said said = north.sees(heard_last(0min, 46min));

    EXPECT_THAT(said, testing::ElementsAre("sensor_silent/north-temperature raised",
                                           "sensor_silent/north-gravity raised silently",
                                           "sensor_silent/north-pressure raised silently"));
    EXPECT_EQ(north.phone.size(), 1U);
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("silent too: north-gravity, north-pressure"));
}

TEST(SensorSilent, TheOneThatStaysSilentIsToldWhenTheOthersReturn) {
    Watcher north;
    (void)north.sees(fermenting(0min));
    (void)north.sees(heard_last(0min, 46min));

    EXPECT_THAT(north.sees(heard_last("north-pressure", 0min, 60min)),
                testing::ElementsAre("sensor_silent/north-temperature cleared",
                                     "sensor_silent/north-gravity cleared silently",
                                     "sensor_silent/north-pressure raised"));
}

TEST(SensorSilent, OneThatNeverSpokeIsSilentSinceTheWatchBegan) {
    Watcher north;
    Situation now = fermenting(0min);
    now.sensors[1].last_at.reset();
    now.sensors[1].watched_since = at(0min);
    (void)north.sees(now);

    now = fermenting(46min);
    now.sensors[1].last_at.reset();
    now.sensors[1].watched_since = at(0min);

    EXPECT_EQ(north.sees(now), Said{"sensor_silent/north-gravity raised"});
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("since the watch began"));
}

TEST(SensorSilent, NobodyMissesASensorOfAnEmptyVesselNorAHydrometerBeforePitching) {
    Watcher north;
    (void)north.sees(fermenting(0min));
    Situation empty = heard_last(0min, 5h);
    empty.batch_name.reset();
    empty.stage.reset();
    EXPECT_EQ(north.sees(empty), Said{});

    Situation mash = heard_last("north-gravity", -72h, 6h);
    mash.stage = StageKind::mash;
    EXPECT_EQ(north.sees(mash), Said{});
}

TEST(SensorSilent, AfterARestartEverybodyGetsTimeToSpeak) {
    Watcher north;

    EXPECT_EQ(north.sees(heard_last(-3h, 0min)), Said{}) << "we were away, not they";
    EXPECT_EQ(north.sees(heard_last(-3h, 45min)), Said{});
    EXPECT_EQ(north.sees(heard_last(-3h, 46min)).size(), 3U);
}

TEST(SensorSilent, ALostBrokerExplainsTheSilence) {
    Watcher north;
    (void)north.sees(fermenting(0min));
    const auto cut_off = [](Duration moment) {
        Situation now = heard_last(0min, moment);
        now.broker_connected = false;
        return now;
    };

    for (auto moment = 1min; moment < 6h; moment += 1min) EXPECT_EQ(north.sees(cut_off(moment)), Said{});
    EXPECT_EQ(north.sees(heard_last(0min, 6h)), Said{}) << "just back: the sensors get their time to speak";
    EXPECT_EQ(north.sees(heard_last("north-gravity", 0min, 6h + 44min)), Said{});
    EXPECT_EQ(north.sees(heard_last("north-gravity", 0min, 6h + 46min)),
              Said{"sensor_silent/north-gravity raised"});
}

TEST(SensorSilent, SuspendsTheRulesThatNeedIt) {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(23, 0min));
    ASSERT_EQ(north.sees(beer_at(23, 10min)), Said{"temperature_out_of_band raised"});

    Situation now = beer_at(23, 10min);
    for (auto moment = 11min; moment < 10h; moment += 7min) {
        now.at = at(moment);
        for (const std::string& said : north.sees(now))
            EXPECT_THAT(said, testing::StartsWith("sensor_silent"));
    }

    ASSERT_GE(north.panel.standing().size(), 2U);
    EXPECT_EQ(north.panel.standing()[0].last.rule, "temperature_out_of_band") << "it holds its state";
}

TEST(SensorSilent, AHydrometerFromTheDrawerGetsTimeToSpeak) {
    Watcher north;
    const auto pitched = [](Duration moment) {
        Situation now = heard_last("north-gravity", -72h, moment);
        now.stage_since = at(10h);
        return now;
    };
    (void)north.sees(fermenting(0min));

    EXPECT_EQ(north.sees(pitched(10h)), Said{});
    EXPECT_EQ(north.sees(pitched(10h + 45min)), Said{});
    EXPECT_EQ(north.sees(pitched(10h + 46min)), Said{"sensor_silent/north-gravity raised"});
}

TEST(SensorSilent, TwoThatFallSilentAtDifferentTimesRingTwice) {
    Watcher north;
    (void)north.sees(fermenting(0min));
    ASSERT_EQ(north.sees(heard_last("north-gravity", 0min, 46min)),
              Said{"sensor_silent/north-gravity raised"});

    Situation now = heard_last("north-gravity", 0min, 2h);
    now.sensors[0].last_at = at(60min);
    EXPECT_EQ(north.sees(now), Said{"sensor_silent/north-temperature raised"});
}

TEST(SensorSilent, NonsenseSensorsAreBorne) {
    Watcher north;
    Situation now = fermenting(0min);
    now.sensors.push_back({});  // no name, no time, no patience
    now.sensors.push_back({.sensor = "x",
                           .quantity = Quantity::gravity,
                           .last_at = at(100h),
                           .watched_since = at(0h),
                           .silent_after = -5min});
    now.sensors.push_back(now.sensors[0]);  // the same twice

    EXPECT_EQ(north.sees(now), Said{});
    now.at = at(200h);
    (void)north.sees(now);
    EXPECT_LE(north.phone.size(), 1U);
}

TEST(BrokerLost, IsAnAlarmOfTheWatchItself) {
    Watcher gyled({}, lisbon(), "");

    EXPECT_EQ(gyled.sees(watch(false, 0min)), Said{});
    EXPECT_EQ(gyled.sees(watch(false, 1min)), Said{});
    EXPECT_EQ(gyled.sees(watch(false, 2min)), Said{"broker_lost raised"});
    EXPECT_EQ(gyled.sees(watch(false, 3h)), Said{});
    EXPECT_EQ(gyled.sees(watch(true, 3h + 1min)), Said{});
    EXPECT_EQ(gyled.sees(watch(true, 3h + 2min)), Said{"broker_lost cleared"});

    EXPECT_EQ(gyled.phone[0].title, "Broker out of reach: nothing is being watched");
    EXPECT_THAT(gyled.log[0].alarm, testing::StartsWith("watch/broker_lost/"));
    EXPECT_EQ(gyled.phone[0].vessel, "");
}

TEST(BrokerLost, IsAcknowledgedAndShelvedLikeAnyOther) {
    Watcher gyled({}, lisbon(), "");
    (void)gyled.sees(watch(false, 0min));
    (void)gyled.sees(watch(false, 2min));
    const std::string id = gyled.log.at(0).alarm;

    ASSERT_TRUE(gyled.panel.acknowledge(id, at(3min)));
    EXPECT_FALSE(gyled.panel.acknowledge(id, at(3min)));
    ASSERT_TRUE(gyled.panel.shelve(id, at(4min), at(60min), "new router"));
    EXPECT_EQ(gyled.sees(watch(true, 30min)), Said{});
    EXPECT_EQ(gyled.sees(watch(false, 40min)), Said{});
    EXPECT_EQ(gyled.sees(watch(false, 60min)), Said{"broker_lost raised"}) << "the shelf has ended";
}

TEST(SensorSilent, OnBrewDayWithTheLidOffNobodyMissesGaugeOrHydrometer) {
    for (const StageKind stage : {StageKind::strike, StageKind::mash, StageKind::boil, StageKind::chill}) {
        Watcher north;
        (void)north.sees(fermenting(0min));
        Situation hot = heard_last(0min, 46min);
        hot.stage = stage;
        hot.stage_since = at(0min);

        EXPECT_EQ(north.sees(hot), Said{"sensor_silent/north-temperature raised"});
        EXPECT_THAT(north.phone.at(0).text, testing::Not(testing::HasSubstr("silent too")));
    }
}

TEST(SensorSilent, OnBrewDayAClosedVesselsGaugeIsMissed) {
    for (const auto& [mode, kpa] : {std::pair{HeadSpace::sealed, 0.0}, std::pair{HeadSpace::vented, 12.0}}) {
        Watcher north;
        (void)north.sees(fermenting(0min));
        Situation hot = heard_last("north-pressure", 0min, 46min);
        hot.stage = StageKind::boil;
        hot.stage_since = at(0min);
        hot.head_space = mode;
        hot.latest[Quantity::head_pressure].value = kpa;

        EXPECT_EQ(north.sees(hot), Said{"sensor_silent/north-pressure raised"});
        EXPECT_EQ(north.phone.at(0).priority, Priority::high);
    }
}

TEST(SensorSilent, AVesselUnderPressureIsMissedWithoutABatch) {
    const auto without_batch = [](double kpa, Duration heard, Duration moment) {
        Situation now = heard_last(heard, moment);
        now.batch_name.reset();
        now.stage.reset();
        now.stage_since.reset();
        now.latest[Quantity::head_pressure].value = kpa;
        return now;
    };
    Watcher north, empty;
    (void)north.sees(without_batch(70, 0min, 0min));
    (void)empty.sees(without_batch(2, 0min, 0min));

    EXPECT_EQ(empty.sees(without_batch(2, 0min, 5h)), Said{});
    EXPECT_EQ(north.sees(without_batch(70, 0min, 45min)), Said{});
    EXPECT_EQ(north.sees(without_batch(70, 0min, 46min)), Said{"sensor_silent/north-pressure raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_EQ(north.sees(without_batch(70, 47min, 47min)), Said{"sensor_silent/north-pressure cleared"});
}

TEST(BrokerLost, AShortInterruptionIsNoNews) {
    Watcher gyled({}, lisbon(), "");
    for (int n = 0; n < 50; ++n) {
        EXPECT_EQ(gyled.sees(watch(false, n * 2min)), Said{});
        EXPECT_EQ(gyled.sees(watch(true, n * 2min + 1min)), Said{});
    }
}

// ---- what of the watch itself does not work

Situation impaired(base::Impairments impairments, Duration moment) {
    Situation now = watch(true, moment);
    now.impairments = std::move(impairments);
    return now;
}

TEST(Impairment, RingsWhenItLastsAndReturnsWhenItIsGone) {
    Watcher gyled({}, lisbon(), "");
    const base::Impairment disk{"store_failing", "", "no room on the disk", at(0s)};

    EXPECT_EQ(gyled.sees(impaired({disk}, 0s)), Said{});
    EXPECT_EQ(gyled.sees(impaired({disk}, 10s)), Said{"store_failing raised"});
    EXPECT_EQ(gyled.sees(impaired({disk}, 1min)), Said{}) << "once";
    EXPECT_EQ(gyled.sees(impaired({}, 2min)), Said{});
    EXPECT_EQ(gyled.sees(impaired({}, 3min)), Said{"store_failing cleared"});

    EXPECT_THAT(gyled.phone[0].text,
                testing::StartsWith("Make room on the disk that holds the database, and see "
                                    "that it can be written. No room on the disk. "));
}

TEST(Impairment, EachSubjectIsAnAlarmOfItsOwn) {
    Watcher gyled({}, lisbon(), "");
    const base::Impairment one{"store_failing", "cellar", "full", at(0s)};
    const base::Impairment two{"store_failing", "loft", "gone", at(0s)};

    (void)gyled.sees(impaired({one, two}, 0s));
    EXPECT_THAT(gyled.sees(impaired({one, two}, 10s)),
                testing::ElementsAre("store_failing/cellar raised", "store_failing/loft raised"));
    (void)gyled.sees(impaired({two}, 1min));
    EXPECT_EQ(gyled.sees(impaired({two}, 2min)), Said{"store_failing/cellar cleared"});
}

TEST(Impairment, OfAnUnknownNameRingsNobody) {
    Watcher gyled({}, lisbon(), "");

    EXPECT_EQ(gyled.sees(impaired({{"no_such_rule", "", "nonsense", at(0s)}}, 0s)), Said{});
    EXPECT_EQ(gyled.sees(impaired({{"no_such_rule", "", "nonsense", at(0s)}}, 1h)), Said{});
}

}  // namespace
}  // namespace gyled::alarms
