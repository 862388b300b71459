#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

TEST(Temperature, RingsOnceAfterHalfAnHourAndSaysWhenItHasCooled) {
    Watcher north;

    EXPECT_EQ(north.sees(beer_at(21.0, 0min)), Said{});
    EXPECT_EQ(north.sees(beer_at(21.2, 29min)), Said{});
    EXPECT_EQ(north.sees(beer_at(21.3, 30min)), Said{"temperature_out_of_band raised"});
    EXPECT_EQ(north.sees(beer_at(21.9, 60min)), Said{});
    EXPECT_EQ(north.sees(beer_at(20.1, 3h)), Said{});
    EXPECT_EQ(north.sees(beer_at(20.0, 3h + 10min)), Said{"temperature_out_of_band cleared"});

    ASSERT_EQ(north.phone.size(), 2U);
    EXPECT_EQ(north.phone[0].title, "North is warm: 21.3 °C");
    EXPECT_EQ(
        north.phone[0].text,
        "Check that the cooling runs. Beer at 21.3 °C, above 20.5 °C, the ferment stage's limit, since Sun 1 "
        "Mar 18:00. Look whether the probe sits in the beer. Harbour Mild, Harbour cellar, Sun 1 Mar 18:30.");
    EXPECT_EQ(north.phone[0].kind, annunciation::Notice::Kind::raised);
    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_EQ(north.phone[1].title, "North is back at 20.0 °C");
    EXPECT_EQ(north.phone[1].text,
              "Temperature is in its band again. Lasted 3 h 10 min, at worst 21.9 °C. Harbour Mild, Harbour "
              "cellar, Sun "
              "1 Mar 21:10.");
    EXPECT_EQ(north.phone[1].kind, annunciation::Notice::Kind::returned);
    EXPECT_EQ(north.phone[1].thread, north.phone[0].thread);
    EXPECT_NE(north.phone[1].id, north.phone[0].id);
}

TEST(Temperature, CallsWhatIsInThereByItsName) {
    for (const auto& [stage, name] :
         {std::pair{StageKind::strike, "Liquor"}, std::pair{StageKind::mash, "Mash"},
          std::pair{StageKind::sparge, "Mash"}, std::pair{StageKind::boil, "Wort"},
          std::pair{StageKind::chill, "Wort"}, std::pair{StageKind::ferment, "Beer"},
          std::pair{StageKind::serve, "Beer"}}) {
        Watcher north;
        for (const auto moment : {0min, 60min}) {
            Situation now = beer_at(25, moment);
            now.stage = stage;
            (void)north.sees(now);
        }
        ASSERT_EQ(north.phone.size(), 1U);
        EXPECT_THAT(north.phone[0].text, testing::HasSubstr(std::string{name} + " at 25.0 °C"));
        EXPECT_EQ(north.phone[0].text.find("heat down") != std::string::npos, stage < StageKind::ferment);
    }
}

TEST(Temperature, IsTwoSided) {
    Watcher north;

    EXPECT_EQ(north.sees(beer_at(17.0, 0min)), Said{});
    EXPECT_EQ(north.sees(beer_at(16.8, 30min)), Said{"temperature_out_of_band raised"});

    EXPECT_EQ(north.phone[0].title, "North is cold: 16.8 °C");
    EXPECT_EQ(north.log[0].value, 16.8);
    EXPECT_EQ(north.log[0].limit, 18.0);
}

TEST(Temperature, TheEdgesBelongToTheBand) {
    Watcher north{band_after(10min)};
    for (const auto moment : {0min, 10min, 20min, 30min}) {
        EXPECT_EQ(north.sees(beer_at(20.5, moment)), Said{});
        EXPECT_EQ(north.sees(beer_at(18.0, moment + 5min)), Said{});
    }
}

TEST(Temperature, ADoorLeftOpenForFiveMinutesIsNoNews) {
    Watcher north;

    EXPECT_EQ(north.sees(beer_at(23, 0min)), Said{});
    EXPECT_EQ(north.sees(beer_at(23, 5min)), Said{});
    EXPECT_EQ(north.sees(beer_at(20, 9min)), Said{});
    EXPECT_EQ(north.sees(beer_at(23, 12min)), Said{});
    EXPECT_EQ(north.sees(beer_at(23, 41min)), Said{}) << "the delay starts anew";
    EXPECT_EQ(north.sees(beer_at(23, 42min)), Said{"temperature_out_of_band raised"});
}

/// Out of the band by 2 degC from the first minute on; when it rang.
std::optional<Duration> rings_after(StageKind stage) {
    Watcher north;
    for (auto moment = 0min; moment <= 3h; moment += 1min) {
        Situation now = beer_at(22.5, moment);
        now.stage = stage;
        if (!north.sees(now).empty()) return moment;
    }
    return std::nullopt;
}

TEST(Temperature, IsToldAsFastAsItCouldGoWrong) {
    for (const StageKind hot : {StageKind::strike, StageKind::mash, StageKind::mash_out, StageKind::sparge})
        EXPECT_EQ(rings_after(hot), 2min);
    for (const StageKind hot : {StageKind::boil, StageKind::chill}) EXPECT_EQ(rings_after(hot), 5min);
    for (const StageKind cold : {StageKind::ferment, StageKind::rest, StageKind::crash})
        EXPECT_EQ(rings_after(cold), 30min);
    for (const StageKind kept : {StageKind::carbonate, StageKind::condition, StageKind::serve})
        EXPECT_EQ(rings_after(kept), 60min);
}

TEST(Temperature, WhatThePersonAsksForCountsInEveryStage) {
    for (const StageKind stage : {StageKind::mash, StageKind::ferment, StageKind::serve}) {
        Watcher north{band_after(7min)};
        for (auto moment = 0min; moment < 7min; moment += 1min) {
            Situation now = beer_at(25, moment);
            now.stage = stage;
            EXPECT_EQ(north.sees(now), Said{});
        }
        Situation now = beer_at(25, 7min);
        now.stage = stage;
        EXPECT_EQ(north.sees(now), Said{"temperature_out_of_band raised"});
    }
}

TEST(Temperature, TheDelayRunsOutOnALoneReadingLaterAndOnlyWhileItIsFresh) {
    for (const auto& [stale_after, rings] : {std::pair{45min, true}, std::pair{8min, false}}) {
        Watcher north{band_after(10min)};
        Situation now = beer_at(23, 0min);
        now.latest[Quantity::beer_temperature].stale_after = stale_after;
        for (auto moment = 0min; moment <= 40min; moment += 1min) {
            now.at = at(moment);
            EXPECT_EQ(north.sees(now).size(), rings && moment == 20min ? 1U : 0U) << moment.count();
        }
    }
}

TEST(Temperature, ALoneWildReadingOfASlowSensorRaisesNothing) {
    Watcher north{band_after(10min)};
    Situation now = beer_at(49.1, 0min);  // the sensor speaks every ten minutes, and the rule waits ten
    now.latest[Quantity::beer_temperature].stale_after = 45min;
    for (auto moment = 0min; moment <= 10min; moment += 1min) {
        now.at = at(moment);
        EXPECT_EQ(north.sees(now), Said{}) << moment.count();
    }

    EXPECT_EQ(north.sees(beer_at(19.5, 10min)), Said{});
}

TEST(Temperature, TheDeadbandKeepsItFromChattering) {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(21, 0min));
    ASSERT_EQ(north.sees(beer_at(21, 10min)), Said{"temperature_out_of_band raised"});

    for (auto moment = 20min; moment < 10h;
         moment += 10min) {  // up and down around the limit, never 0.3 below
        EXPECT_EQ(north.sees(beer_at(20.3, moment)), Said{});
        EXPECT_EQ(north.sees(beer_at(20.6, moment + 5min)), Said{});
    }

    for (auto moment = 600min; moment < 12h; moment += 10min)
        EXPECT_EQ(north.sees(beer_at(20.25, moment)), Said{});
    EXPECT_EQ(north.phone.size(), 1U);
}

TEST(Temperature, AShortReturnDoesNotEndItNorRingAgain) {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(21, 0min));
    (void)north.sees(beer_at(21, 10min));

    EXPECT_EQ(north.sees(beer_at(19, 20min)), Said{});
    EXPECT_EQ(north.sees(beer_at(21, 23min)), Said{});
    EXPECT_EQ(north.panel.standing().at(0).state, AlarmState::raised);
}

TEST(Temperature, ANewStageIsGivenTimeToReachItsBand) {
    Watcher north{band_after(10min)};
    const auto crash = [](double celsius, Duration moment) {
        Situation now = beer_at(celsius, moment);
        now.stage = StageKind::crash;
        now.stage_since = at(0min);
        now.temperature_band_c = base::Band{1, 3};
        return now;
    };

    for (int hour = 0; hour <= 30; ++hour)
        EXPECT_EQ(north.sees(crash(20 - 0.5 * hour, hour * 1h)), Said{}) << hour;
    EXPECT_EQ(north.sees(crash(2.5, 36h)), Said{});
    EXPECT_EQ(north.sees(crash(4.0, 37h)), Said{});
    EXPECT_EQ(north.sees(crash(4.0, 37h + 10min)), Said{"temperature_out_of_band raised"})
        << "it had been there";
}

TEST(Temperature, ANewStageThatMovesAwayFromItsBandRings) {
    Watcher north{band_after(10min)};
    const auto pitched = [](double celsius, Duration moment) {
        Situation now = beer_at(celsius, moment);
        now.stage_since = at(0min);
        return now;
    };

    EXPECT_EQ(north.sees(pitched(21.5, 0min)), Said{});
    EXPECT_EQ(north.sees(pitched(22.5, 20min)), Said{});
    EXPECT_EQ(north.sees(pitched(23.6, 40min)), Said{});
    EXPECT_EQ(north.sees(pitched(23.9, 50min)), Said{"temperature_out_of_band raised"});
}

TEST(Temperature, ANewStageThatCameNearAndTurnedBackRings) {
    Watcher north{band_after(10min)};
    const auto crash = [](double celsius, Duration moment) {
        Situation now = beer_at(celsius, moment);
        now.stage = StageKind::crash;
        now.stage_since = at(0min);
        now.temperature_band_c = base::Band{1, 3};
        return now;
    };

    EXPECT_EQ(north.sees(crash(20, 0min)), Said{});
    EXPECT_EQ(north.sees(crash(8, 12h)), Said{});
    EXPECT_EQ(north.sees(crash(9.9, 14h)), Said{});
    EXPECT_EQ(north.sees(crash(10.1, 15h)), Said{});
    EXPECT_EQ(north.sees(crash(11, 16h)), Said{"temperature_out_of_band raised"}) << "cooling has failed";
}

TEST(Temperature, ANewStageEndsTheAlarmOfTheOldOne) {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(25, 0min));
    ASSERT_EQ(north.sees(beer_at(25, 10min)), Said{"temperature_out_of_band raised"});

    Situation now = beer_at(25, 11min);
    now.stage = StageKind::crash;
    now.stage_since = at(11min);
    now.temperature_band_c = base::Band{1, 3};
    EXPECT_EQ(north.sees(now), Said{"temperature_out_of_band cleared"});
}

TEST(Temperature, CrossingABandCountsAsArriving) {
    Watcher north{band_after(10min)};
    const auto pitched = [](double celsius, Duration moment) {
        Situation now = beer_at(celsius, moment);
        now.stage_since = at(0min);
        return now;
    };

    EXPECT_EQ(north.sees(pitched(21, 0min)), Said{});
    EXPECT_EQ(north.sees(pitched(17.5, 20min)), Said{}) << "never seen within";
    EXPECT_EQ(north.sees(pitched(17.4, 30min)), Said{"temperature_out_of_band raised"});
}

TEST(Temperature, PitchedWarmAndNeverCooledRingsWithinHours) {
    Watcher north{band_after(10min)};
    Duration rang{};
    for (auto moment = 0min; moment <= 4h && rang == 0min; moment += 5min) {
        Situation now = beer_at(22, moment);
        now.stage_since = at(0min);
        if (!north.sees(now).empty()) rang = moment;
    }
    EXPECT_GT(rang, 2h);
    EXPECT_LE(rang, 2h + 20min);
}

TEST(Temperature, AStageWithoutABandIsQuietAndEndsWhatStood) {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(25, 0min));
    ASSERT_EQ(north.sees(beer_at(25, 10min)), Said{"temperature_out_of_band raised"});

    Situation now = beer_at(25, 11min);
    now.temperature_band_c.reset();

    EXPECT_EQ(north.sees(now), Said{"temperature_out_of_band cleared"});
    EXPECT_EQ(north.phone.back().kind, annunciation::Notice::Kind::returned);
    EXPECT_EQ(north.sees(now), Said{});
}

TEST(Temperature, NonsenseNeitherRingsNorClears) {
    Watcher north{band_after(10min)};
    for (const double nonsense : {nan, infinity, -infinity})
        for (auto moment = 0min; moment < 60min; moment += 5min)
            EXPECT_EQ(north.sees(beer_at(nonsense, moment)), Said{});

    (void)north.sees(beer_at(25, 60min));
    ASSERT_EQ(north.sees(beer_at(25, 70min)), Said{"temperature_out_of_band raised"});
    for (const double nonsense : {nan, infinity, -infinity})
        for (auto moment = 71min; moment < 100min; moment += 5min)
            EXPECT_EQ(north.sees(beer_at(nonsense, moment)), Said{});

    Situation upside_down = beer_at(25, 101min);
    upside_down.temperature_band_c = base::Band{21, 18};
    EXPECT_EQ(north.sees(upside_down), Said{"temperature_out_of_band cleared"}) << "that is no band";
}

TEST(Temperature, ANarrowBandCanStillBeReturnedTo) {
    Watcher north{band_after(10min)};
    const auto narrow = [](double celsius, Duration moment) {
        Situation now = beer_at(celsius, moment);
        now.temperature_band_c = base::Band{19.0, 19.2};
        return now;
    };
    (void)north.sees(narrow(20, 0min));
    ASSERT_EQ(north.sees(narrow(20, 10min)), Said{"temperature_out_of_band raised"});

    EXPECT_EQ(north.sees(narrow(19.1, 20min)), Said{});
    EXPECT_EQ(north.sees(narrow(19.1, 25min)), Said{"temperature_out_of_band cleared"});
}

TEST(HeatingShut, RingsAtOnceWhenAClosedKettleIsHot) {
    Watcher north;
    const auto boil = [](double celsius, double kpa, HeadSpace mode, Duration moment) {
        Situation now = with(beer_at(celsius, moment), Quantity::head_pressure, kpa);
        now.stage = StageKind::boil;
        now.head_space = mode;
        now.temperature_band_c.reset();
        return now;
    };

    EXPECT_EQ(north.sees(boil(89, 0, HeadSpace::sealed, 0min)), Said{});
    EXPECT_EQ(north.sees(boil(91, 0, HeadSpace::vented, 1min)), Said{});
    EXPECT_EQ(north.sees(boil(100, 1, HeadSpace::vented, 2min)), Said{}) << "an open boil";
    EXPECT_EQ(north.sees(boil(100, 11, HeadSpace::vented, 3min)), Said{"heating_shut raised"})
        << "said to be open";
    EXPECT_EQ(north.phone[0].priority, Priority::critical);
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("Never block or cap the relief valve"));
    EXPECT_EQ(north.sees(boil(100, 1, HeadSpace::vented, 4min)), Said{});
    EXPECT_EQ(north.sees(boil(100, 1, HeadSpace::vented, 5min)), Said{"heating_shut cleared"});
    EXPECT_EQ(north.sees(boil(91, 0, HeadSpace::sealed, 6min)), Said{"heating_shut raised"});
    EXPECT_EQ(north.sees(boil(91, 0, HeadSpace::spunded, 7min)), Said{});
    EXPECT_EQ(north.sees(boil(87, 0, HeadSpace::spunded, 8min)), Said{});
    EXPECT_EQ(north.sees(boil(80, 0, HeadSpace::spunded, 9min)), Said{"heating_shut cleared"});
}

TEST(HeatingShut, AVentedKettleWithoutAGaugeIsTakenAtTheWord) {
    Watcher north;
    Situation now = beer_at(100, 0min);
    now.stage = StageKind::boil;
    now.temperature_band_c.reset();
    now.latest.erase(Quantity::head_pressure);

    EXPECT_EQ(north.sees(now), Said{});
}

}  // namespace
}  // namespace gyled::alarms
