#include <tuple>

#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

TEST(PressureNearLimit, RingsOnceAtEachStepAndIsOverOnce) {
    Watcher north;  // the lowest rated part is good for 180 kPa: steps at 144, 162, 171

    EXPECT_EQ(north.sees(head_at(143.9, 0min)), Said{});
    EXPECT_EQ(north.sees(head_at(144.1, 1min)), Said{"pressure_near_limit raised"})
        << "on the reading itself";
    EXPECT_EQ(north.sees(head_at(160, 2min)), Said{});
    EXPECT_EQ(north.sees(head_at(162.1, 3min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.sees(head_at(150, 4min)), Said{});
    EXPECT_EQ(north.sees(head_at(163, 5min)), Said{}) << "this step was told";
    EXPECT_EQ(north.sees(head_at(171.1, 6min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.sees(head_at(179, 7min)), Said{});
    EXPECT_EQ(north.sees(head_at(142, 8min)), Said{});
    EXPECT_EQ(north.panel.standing().at(0).state, AlarmState::raised) << "not by the deadband";
    EXPECT_EQ(north.sees(head_at(100, 9min)), Said{});
    EXPECT_EQ(north.sees(head_at(100, 11min)), Said{"pressure_near_limit cleared"});

    ASSERT_EQ(north.phone.size(), 4U);
    EXPECT_EQ(north.phone[0].priority, Priority::medium);
    EXPECT_EQ(north.phone[1].priority, Priority::high);
    EXPECT_EQ(north.phone[2].priority, Priority::critical);
    EXPECT_EQ(north.phone[0].title, "North: pressure 1.44 bar, 80 % of its limit");
    EXPECT_EQ(north.phone[3].title, "North: pressure is down to 1.00 bar");
    EXPECT_THAT(north.phone[3].text, testing::HasSubstr("Lasted 10 min, at worst 1.79 bar."));
    for (const annunciation::Notice& notice : north.phone) EXPECT_EQ(notice.thread, north.phone[0].thread);
    EXPECT_NE(north.phone[0].id, north.phone[1].id);
}

/// Shares of 180 kPa.
Situation head_at_percent(double percent, Duration moment) {
    return head_at(180 * percent / 100, moment);
}

TEST(PressureNearLimit, RingsAtTheLimitAndAtEachStepBeyond) {
    Watcher north;
    Duration moment{};
    const auto rings_at = [&](double percent) {
        return north.sees(head_at_percent(percent, moment += 1min)) == Said{"pressure_near_limit raised"};
    };

    for (const double step : {80, 90, 95, 100, 110, 125, 150, 175, 200, 225, 1000}) {
        EXPECT_TRUE(rings_at(step + 0.1)) << step;
        EXPECT_FALSE(rings_at(step + 0.1)) << step << ": once";
    }
    for (std::size_t n = 2; n < north.phone.size(); ++n)
        EXPECT_EQ(north.phone[n].priority, Priority::critical) << n;
}

TEST(PressureNearLimit, AcknowledgedAt95PercentRingsAtEachStepThatIsWorse) {
    Watcher north;
    ASSERT_EQ(north.sees(head_at_percent(95.5, 0min)), Said{"pressure_near_limit raised"});
    const std::string id = north.log[0].alarm;
    ASSERT_TRUE(north.panel.acknowledge(id, at(1min)));

    EXPECT_EQ(north.sees(head_at_percent(99, 2min)), Said{});
    Duration moment = 3min;
    for (const double percent : {103.0, 119.0, 144.0, 189.5}) {
        EXPECT_EQ(north.sees(head_at_percent(percent, moment)), Said{"pressure_near_limit raised"})
            << percent;
        ASSERT_TRUE(north.panel.acknowledge(id, at(moment))) << "each silence is asked for anew";
        moment += 1min;
    }

    EXPECT_EQ(north.phone.back().title, "North: pressure 3.41 bar, 189 % of its limit");
    EXPECT_THAT(north.panel.standing().at(0).present.text, testing::StartsWith("Head pressure is 3.41 bar;"));
    EXPECT_THAT(north.panel.standing().at(0).present.text,
                testing::EndsWith("It was 1.72 bar when raised at Sun 1 Mar 18:00."));
}

TEST(PressureNearLimit, AnAcknowledgementHoldsForTheStepThatThePersonSaw) {
    Watcher north;
    ASSERT_EQ(north.sees(head_at_percent(130, 0min)), Said{"pressure_near_limit raised"});
    ASSERT_EQ(north.sees(head_at_percent(96, 1min)), Said{}) << "it was let off, but not by much";
    ASSERT_TRUE(north.panel.acknowledge(north.log[0].alarm, at(2min)));

    EXPECT_EQ(north.sees(head_at_percent(97, 3min)), Said{});
    EXPECT_EQ(north.sees(head_at_percent(112, 4min)), Said{"pressure_near_limit raised"});
}

TEST(PressureNearLimit, ATransducersNoiseAroundAStepIsNoNewStep) {
    Watcher north;  // deadband 3 kPa of 180
    ASSERT_EQ(north.sees(head_at_percent(100.2, 0min)), Said{"pressure_near_limit raised"});
    ASSERT_EQ(north.sees(head_at_percent(99.8, 1min)), Said{});
    ASSERT_TRUE(north.panel.acknowledge(north.log[0].alarm, at(2min)));

    EXPECT_EQ(north.sees(head_at_percent(100.2, 3min)), Said{});
}

TEST(PressureNearLimit, AShelfIsBrokenByEachStepThatIsWorse) {
    Watcher north;
    ASSERT_EQ(north.sees(head_at_percent(96, 0min)), Said{"pressure_near_limit raised"});
    ASSERT_TRUE(north.panel.shelve(north.log[0].alarm, at(1min), at(5h)));

    EXPECT_EQ(north.sees(head_at_percent(99, 2min)), Said{});
    EXPECT_EQ(north.sees(head_at_percent(101, 3min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.panel.standing().at(0).state, AlarmState::raised);
    EXPECT_FALSE(north.panel.standing().at(0).shelved_until);
}

TEST(PressureNearLimit, OverTheLimitItSaysKeepAwayBeforeAnythingElse) {
    Watcher north;
    (void)north.sees(head_at_percent(112, 0min));

    EXPECT_THAT(
        north.phone.at(0).text,
        testing::StartsWith("Keep away, and keep others away. Head pressure is 2.02 bar; the lowest rated "
                            "part bears 1.80 bar. From a distance: gas off, heat off, cooling on. Open "
                            "doors or run the fan before you go in"));
    EXPECT_THAT(north.phone.at(0).text, testing::HasSubstr("local codes apply"));
    EXPECT_THAT(north.phone.at(0).text, testing::Not(testing::HasSubstr("should be open")))
        << "nobody said that there is a relief valve";
}

TEST(PressureNearLimit, NamesEachPartAsWhatItIs) {
    Watcher north;
    Situation now = head_at(175, 0min);
    now.relief_kpa = 180;
    now.plate_kpa = 200;
    now.fitting_kpa = 400;
    (void)north.sees(now);

    EXPECT_THAT(
        north.phone.at(0).text,
        testing::HasSubstr("Head pressure is 1.75 bar; the relief valve is set to 1.80 bar, the plate "
                           "allows 2.00 bar, the weakest fitting bears 4.00 bar. "));
}

TEST(PressureNearLimit, SaysThatTheReliefValveShouldBeOpenOnlyWhereItShould) {
    const auto text_at = [](double kpa, double relief_kpa) {
        Watcher north;
        Situation now = head_at(kpa, 0min);
        now.relief_kpa = relief_kpa;
        (void)north.sees(now);
        return north.phone.at(0).text;
    };

    EXPECT_THAT(text_at(200, 180),
                testing::StartsWith("Keep away, and keep others away: the relief valve should "
                                    "be open. "));
    EXPECT_THAT(text_at(190, 300), testing::Not(testing::HasSubstr("should be open")))
        << "it is the fitting that has too much";
}

TEST(PressureNearLimit, TheFullCautionComesWithTheCriticalStep) {
    Watcher north;
    (void)north.sees(head_at(165, 0min));
    (void)north.sees(head_at(172, 1min));
    (void)north.sees(head_at(181, 2min));

    ASSERT_EQ(north.phone.size(), 3U);
    EXPECT_THAT(north.phone[0].text, testing::Not(testing::HasSubstr("local codes")));
    EXPECT_THAT(north.phone[1].text, testing::HasSubstr("The relief valve and the vessel's plate decide"));
    EXPECT_THAT(north.phone[2].text, testing::Not(testing::HasSubstr("decide, not this message")))
        << "whoever reads this has read it, and must not read for long";
}

TEST(PressureNearLimit, OnTheHotSideNothingIsLetOff) {
    Watcher north;
    Situation now = head_at(150, 0min);
    now.stage = StageKind::boil;
    now.temperature_band_c.reset();
    (void)north.sees(now);

    EXPECT_THAT(north.phone.at(0).text,
                testing::StartsWith("Heat off, and shut the gas: both work from outside. "));
    EXPECT_THAT(north.phone.at(0).text, testing::Not(testing::HasSubstr("Let gas off")));
    EXPECT_THAT(north.phone.at(0).text, testing::Not(testing::HasSubstr("beer")));
}

TEST(PressureNearLimit, AJumpToTheTopRingsOnceAndCritical) {
    Watcher north;

    EXPECT_EQ(north.sees(head_at(175, 0min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::critical);
}

TEST(PressureNearLimit, CarriesTheCaution) {
    Watcher north;
    (void)north.sees(head_at(175, 0min));

    const std::string& text = north.phone.at(0).text;
    EXPECT_THAT(text,
                testing::StartsWith("Shut the gas and cool the beer: both work from outside. Head pressure "
                                    "is 1.75 bar; the lowest rated part bears 1.80 bar. Let gas off slowly"));
    EXPECT_THAT(text, testing::HasSubstr(
                          "Never block the relief valve, never loosen a fitting or clamp under pressure"));
    EXPECT_THAT(text, testing::HasSubstr("relief valve and the vessel's plate decide"));
    EXPECT_THAT(text, testing::HasSubstr("Open doors or run the fan"));
}

/// With a relief valve of this mark, and nothing that bears less.
Situation relieved_at(double mark_kpa, double kpa, Duration moment) {
    Situation now = head_at(kpa, moment);
    now.relief_kpa = now.pressure_limit_kpa = mark_kpa;
    return now;
}

// A valve of 15 psi (103.4 kPa) may open from 13 psi (89.6 kPa) on: 2 psi up to 70 psi, ASME BPVC VIII-1
// UG-134.
TEST(PressureNearLimit, RingsBeforeALowSetReliefValveMayOpen) {
    Watcher north;

    EXPECT_EQ(north.sees(relieved_at(103.4, 82.6, 0min)), Said{});
    EXPECT_EQ(north.sees(relieved_at(103.4, 83.0, 1min)), Said{"pressure_near_limit raised"}) << "80 %";
    EXPECT_EQ(north.sees(relieved_at(103.4, 89.5, 2min)), Said{});
    EXPECT_EQ(north.sees(relieved_at(103.4, 89.7, 3min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.sees(relieved_at(103.4, 99.0, 4min)), Said{}) << "90 and 95 % are said with it";
    EXPECT_EQ(north.sees(relieved_at(103.4, 103.5, 5min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.phone[1].priority, Priority::critical);
}

// 180 kPa: 26 psi, so 2 psi below it; above 70 psi (482.6 kPa) 3 %: 600 kPa from 582 on, beyond 95 %.
TEST(PressureNearLimit, IsCriticalWhereTheReliefValveMayOpen) {
    for (const auto& [mark, below, beyond] :
         {std::tuple{180.0, 166.1, 166.3}, std::tuple{600.0, 569.9, 570.1}}) {
        Watcher north;
        (void)north.sees(relieved_at(mark, below, 0min));
        EXPECT_EQ(north.phone.back().priority, Priority::high) << mark;
        (void)north.sees(relieved_at(mark, beyond, 1min));
        EXPECT_EQ(north.phone.back().priority, Priority::critical) << mark;
    }
}

TEST(PressureNearLimit, AValveBelowItsOwnToleranceStillLeavesRoom) {
    Watcher north;  // 10 kPa: "2 psi below" would ring in an empty vessel

    EXPECT_EQ(north.sees(relieved_at(10, 1, 0min)), Said{});
    EXPECT_EQ(north.sees(relieved_at(10, 5.1, 1min)), Said{"pressure_near_limit raised"});
}

TEST(PressureNearLimit, AReliefValveAboveTheWeakestPartMovesNoStep) {
    Watcher north;
    Situation now = head_at(94.9, 0min);
    now.pressure_limit_kpa = 100;
    now.relief_kpa = 180;
    (void)north.sees(now);
    EXPECT_EQ(north.phone.back().priority, Priority::high);
}

TEST(PressureNearLimit, NonsenseOnAReliefValveMovesNoStep) {
    for (const double mark : {nan, -infinity, 0.0, -5.0, infinity}) {
        Watcher north;
        Situation now = head_at(143.9, 0min);
        now.relief_kpa = mark;
        EXPECT_EQ(north.sees(now), Said{});
    }
}

TEST(PressureNearLimit, AVesselWithoutARatingHasNoSteps) {
    Watcher north;
    for (const auto limit :
         {std::optional<double>{}, std::optional{0.0}, std::optional{-5.0}, std::optional{nan}}) {
        Situation now = head_at(500, 0min);
        now.pressure_limit_kpa = limit;
        EXPECT_EQ(north.sees(now), Said{});
    }
}

TEST(PressureNearLimit, AcknowledgedRingsAgainOnlyWhenItGrowsWorse) {
    Watcher north;
    (void)north.sees(head_at(150, 0min));
    const std::string id = north.log[0].alarm;

    ASSERT_TRUE(north.panel.acknowledge(id, at(1min)));
    EXPECT_EQ(north.sees(head_at(155, 2min)), Said{});
    EXPECT_EQ(north.panel.standing().at(0).last.state, AlarmState::acknowledged);
    EXPECT_EQ(north.sees(head_at(165, 3min)), Said{"pressure_near_limit raised"});
}

TEST(PressureNearLimit, AShelfDoesNotHideAStepThatNobodyHasSeen) {
    Watcher north;
    (void)north.sees(head_at(150, 0min));

    ASSERT_TRUE(north.panel.shelve(north.log[0].alarm, at(1min), at(5h)));
    EXPECT_EQ(north.sees(head_at(155, 2min)), Said{});
    EXPECT_EQ(north.sees(head_at(175, 3min)), Said{"pressure_near_limit raised"});
}

TEST(PressureRising, RingsTwoHoursAheadAndAgainHalfAnHourAhead) {
    Watcher north;
    const auto rising = [](double kpa, Duration limit_in, Duration moment) {
        return believing(head_at(kpa, moment), Quantity::limit_time,
                         base::unix_seconds(at(moment + limit_in)));
    };

    EXPECT_EQ(north.sees(rising(60, 121min, 0min)), Said{});
    EXPECT_EQ(north.sees(rising(61, 119min, 1min)), Said{"pressure_rising_to_limit raised"});
    EXPECT_EQ(north.sees(rising(90, 40min, 20min)), Said{});
    EXPECT_EQ(north.sees(rising(120, 29min, 30min)), Said{"pressure_rising_to_limit raised"});
    EXPECT_EQ(north.sees(rising(120, 140min, 31min)), Said{});
    EXPECT_EQ(north.panel.standing().at(0).state, AlarmState::raised) << "not by the deadband";
    EXPECT_EQ(north.sees(head_at(120, 32min)), Said{});
    EXPECT_EQ(north.sees(head_at(118, 37min)), Said{"pressure_rising_to_limit cleared"});

    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_EQ(north.phone[0].title, "North: pressure limit in 1 h 59 min");
    EXPECT_THAT(
        north.phone[0].text,
        testing::HasSubstr("Head pressure is 0.61 bar and rises: it reaches the limit of 1.80 bar about "
                           "Sun 1 Mar 20:00. "));
    EXPECT_EQ(north.phone[1].priority, Priority::critical);
}

TEST(PressureRising, UpToTheSetPointARiseIsMeant) {
    Watcher north;
    const auto spunded = [](double kpa, Duration moment) {
        Situation now =
            believing(head_at(kpa, moment), Quantity::limit_time, base::unix_seconds(at(moment + 90min)));
        now.head_space = HeadSpace::spunded;
        now.head_pressure_set_kpa = 100;
        return now;
    };

    EXPECT_EQ(north.sees(spunded(80, 0min)), Said{});
    EXPECT_EQ(north.sees(spunded(100, 10min)), Said{});
    EXPECT_EQ(north.sees(spunded(115, 20min)), Said{"pressure_rising_to_limit raised"}) << "the valve sticks";
}

TEST(PressureRising, IsNotToldTwiceWhenTheLimitItselfIsNear) {
    Watcher north;
    const auto now = believing(head_at(175, 0min), Quantity::limit_time, base::unix_seconds(at(5min)));

    EXPECT_EQ(north.sees(now),
              (Said{"pressure_near_limit raised", "pressure_rising_to_limit raised silently"}));
    EXPECT_EQ(north.phone.size(), 1U);
}

TEST(PressureRising, IsNotOverBecauseTheLimitIsReached) {
    Watcher north;
    const double soon = base::unix_seconds(at(20min));
    ASSERT_EQ(north.sees(believing(head_at(150, 0min), Quantity::limit_time, soon)).size(), 2U);
    (void)north.sees(head_at(178, 10min));
    (void)north.sees(head_at(181, 10min));
    for (auto moment = 11min; moment < 3h; moment += 1min)
        EXPECT_EQ(north.sees(head_at(181, moment)), Said{});

    (void)north.sees(head_at(100, 3h));
    EXPECT_EQ(north.sees(head_at(100, 3h + 5min)).size(), 2U);
    EXPECT_THAT(north.phone.back().text,
                testing::StartsWith("Head pressure no longer rises to its limit, now 1.00 bar."));
}

/// Sealed, with the limit expected `limit_in` from now, at the earliest `earliest_in`.
Situation limit_ahead(double kpa, Duration limit_in, Duration earliest_in, Duration moment) {
    Situation now = head_at(kpa, moment);
    const double value = base::unix_seconds(at(moment + limit_in));
    now.estimates[Quantity::limit_time] = {value, base::unix_seconds(at(moment + earliest_in)), infinity};
    return now;
}

TEST(PressureRising, SlowingIsToldAsSlowingAndNeverAsOver) {
    Watcher north;
    ASSERT_EQ(north.sees(limit_ahead(30, 90min, 80min, 0min)), Said{"pressure_rising_to_limit raised"});

    for (auto moment = 10min; moment <= 5h; moment += 10min)
        EXPECT_EQ(north.sees(limit_ahead(42, 6h, 5h, moment)), Said{}) << moment.count();
    EXPECT_EQ(north.panel.standing().at(0).present.text,
              "Head pressure is 0.42 bar and still rises, slower now: it reaches the limit of 1.80 bar about "
              "Mon 2 Mar 05:00, at the earliest Mon 2 Mar 04:00. It was 0.30 bar when raised at Sun 1 Mar "
              "18:00.");

    EXPECT_EQ(north.sees(limit_ahead(100, 100min, 90min, 6h)), Said{}) << "it stands: told already";
    EXPECT_EQ(north.sees(limit_ahead(150, 30min, 25min, 7h)),
              (Said{"pressure_near_limit raised", "pressure_rising_to_limit raised"}))
        << "and critical in its turn";
}

TEST(PressureRising, TheWorstIsAlsoThatOfTheSlowRise) {
    Watcher north;
    (void)north.sees(limit_ahead(5, 90min, 80min, 0min));
    (void)north.sees(limit_ahead(124, 6h, 5h, 3h));
    (void)north.sees(head_at(120, 9h));

    EXPECT_EQ(north.sees(head_at(120, 9h + 5min)), Said{"pressure_rising_to_limit cleared"});
    EXPECT_THAT(north.phone.back().text, testing::HasSubstr("at worst 1.24 bar"));
}

TEST(PressureRising, SlownessAloneBeginsNothing) {
    Watcher north;
    for (auto moment = 0min; moment <= 5h; moment += 10min)
        EXPECT_EQ(north.sees(limit_ahead(42, 6h, 5h, moment)), Said{});
}

TEST(PressureRising, TheEarlyEndOfTheIntervalDecides) {
    Watcher north;

    EXPECT_EQ(north.sees(limit_ahead(30, 170min, 121min, 0min)), Said{});
    EXPECT_EQ(north.sees(limit_ahead(30, 170min, 119min, 1min)), Said{"pressure_rising_to_limit raised"});
    EXPECT_EQ(north.phone[0].title, "North: pressure limit in 1 h 59 min");
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("1.80 bar about Sun 1 Mar 20:51, at the earliest "
                                                        "Sun 1 Mar 20:00."));
    EXPECT_EQ(north.sees(limit_ahead(80, 60min, 29min, 2min)), Said{"pressure_rising_to_limit raised"});
    EXPECT_EQ(north.phone[1].priority, Priority::critical);
}

TEST(PressureRising, IsNotOverWhileTooLittleIsSeenToTell) {
    Watcher north;
    (void)north.sees(limit_ahead(60, 60min, 50min, 0min));

    for (auto moment = 20min; moment <= 50min; moment += 1min) {  // after a silence
        Situation now = head_at(80, moment);
        now.pressure_trend_known = false;
        EXPECT_EQ(north.sees(now), Said{}) << moment.count();
    }
    EXPECT_EQ(north.sees(head_at(80, 60min)), Said{});
    EXPECT_EQ(north.sees(head_at(80, 65min)), Said{"pressure_rising_to_limit cleared"});
}

TEST(PressureRising, IsOverWhenAValveHoldsIt) {
    Watcher north;
    (void)north.sees(limit_ahead(60, 60min, 50min, 0min));

    const auto spunded = [](Duration moment) {
        Situation now = limit_ahead(62, 60min, 50min, moment);
        now.head_space = HeadSpace::spunded;
        now.head_pressure_set_kpa = 100;
        now.pressure_trend_known = false;
        return now;
    };
    EXPECT_EQ(north.sees(spunded(1min)), Said{});
    EXPECT_EQ(north.sees(spunded(6min)), Said{"pressure_rising_to_limit cleared"});
}

TEST(PressureRising, NonsenseMomentsAreNoNews) {
    Watcher north;
    for (const double nonsense : {nan, infinity})
        EXPECT_EQ(north.sees(believing(head_at(60, 0min), Quantity::limit_time, nonsense)), Said{});
}

TEST(Vacuum, RingsAtOnceBelowTheLimit) {
    Watcher north;

    EXPECT_EQ(north.sees(head_at(-4.9, 0min)), Said{});
    EXPECT_EQ(north.sees(head_at(-5.1, 1min)), Said{"pressure_below_vacuum_limit raised"});
    EXPECT_EQ(north.sees(head_at(-12, 2min)), Said{});
    EXPECT_EQ(north.sees(head_at(-4.5, 3min)), Said{});
    EXPECT_EQ(north.sees(head_at(0, 4min)), Said{});
    EXPECT_EQ(north.sees(head_at(0, 6min)), Said{"pressure_below_vacuum_limit cleared"});

    EXPECT_EQ(north.phone[0].priority, Priority::critical);
    EXPECT_THAT(north.phone[1].text, testing::HasSubstr("at worst -0.12 bar"));
}

TEST(Vacuum, WithoutAMakersLimitTheZeroOfTheSensorDoesNotRing) {
    Watcher north;
    const auto unrated = [](double kpa, HeadSpace mode) {
        Situation now = head_at(kpa, 0min);
        now.vacuum_limit_kpa = 0;
        now.head_space = mode;
        return now;
    };

    EXPECT_EQ(north.sees(unrated(-1.5, HeadSpace::sealed)), Said{});
    EXPECT_EQ(north.sees(unrated(-3.5, HeadSpace::vented)), Said{}) << "weather on an absolute sensor";
    EXPECT_EQ(north.sees(unrated(-2.5, HeadSpace::sealed)), Said{"pressure_below_vacuum_limit raised"});
}

TEST(Vacuum, ThePlateDecidesAlsoWhenItSaysLittle) {
    Watcher north;
    Situation now = with(fermenting(0min), Quantity::head_pressure, -1.6);
    now.vacuum_limit_kpa = -1.5;

    EXPECT_EQ(north.sees(now), Said{"pressure_below_vacuum_limit raised"});
}

TEST(VacuumAhead, WarnsOfASealedCrash) {
    Watcher north;
    // Sealed at 0 gauge and 20 degC with 10 % head space, cooled to 1 degC: -46.37 kPa gauge (computed, f =
    // 0.95).
    const auto crash = [](HeadSpace mode, Duration moment) {
        Situation now = believing(fermenting(moment), Quantity::crash_pressure, -46.3742);
        now.stage = StageKind::crash;
        now.temperature_band_c.reset();
        now.head_space = mode;
        return now;
    };

    EXPECT_EQ(north.sees(crash(HeadSpace::supplied, 0min)), Said{});
    EXPECT_EQ(north.sees(crash(HeadSpace::supplied, 20min)), Said{});
    EXPECT_EQ(north.sees(crash(HeadSpace::sealed, 21min)), Said{});
    EXPECT_EQ(north.sees(crash(HeadSpace::sealed, 31min)), Said{"vacuum_ahead raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::medium);
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("-0.46 bar"));
    EXPECT_EQ(north.sees(crash(HeadSpace::supplied, 40min)), Said{"vacuum_ahead cleared"});
}

TEST(VacuumAhead, IsUrgentWhereTheMakerGivesNoRating) {
    Watcher north;
    for (const auto moment : {0min, 10min}) {
        Situation now = believing(fermenting(moment), Quantity::crash_pressure, -20);
        now.stage = StageKind::crash;
        now.temperature_band_c.reset();
        now.head_space = HeadSpace::sealed;
        now.vacuum_limit_kpa = 0;
        north.sees(now);
    }
    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].priority, Priority::high);
}

TEST(VacuumAhead, IsNoNewsBeforeTheCrash) {
    Watcher north;
    for (const auto moment : {0min, 20min}) {
        Situation now = believing(fermenting(moment), Quantity::crash_pressure, -46);
        now.head_space = HeadSpace::sealed;
        EXPECT_EQ(north.sees(now), Said{});
    }
}

TEST(VacuumAhead, ASpundingValveLetsNothingIn) {
    Watcher north;
    for (const auto moment : {0min, 20min}) {
        Situation now = believing(fermenting(moment), Quantity::crash_pressure, -46);
        now.stage = StageKind::crash;
        now.temperature_band_c.reset();
        now.head_space = HeadSpace::spunded;
        EXPECT_EQ(north.sees(now).size(), moment == 0min ? 0U : 1U);
    }
}

TEST(WarmPressure, ARegulatorLetsNothingOutButAValveDoes) {
    for (const auto& [mode, rings] :
         {std::pair{HeadSpace::supplied, true}, std::pair{HeadSpace::sealed, true},
          std::pair{HeadSpace::spunded, false}, std::pair{HeadSpace::vented, false}}) {
        Watcher north;
        for (const auto moment : {0min, 2min}) {
            Situation now = believing(fermenting(moment), Quantity::warm_pressure, 250);
            now.head_space = mode;
            EXPECT_EQ(north.sees(now).size(), rings && moment == 2min ? 1U : 0U);
        }
    }
}

TEST(WarmPressure, IsNotJudgedWhenNobodyHearsTheTemperature) {
    Watcher north;
    for (const auto moment : {0min, 10min, 20min, 30min, 40min}) {
        Situation now = believing(head_at(68, moment), Quantity::warm_pressure, 250);
        now.sensors[0].last_at = at(-5h);
        EXPECT_EQ(north.sees(now), Said{});
    }
}

TEST(WarmPressure, WarnsWhenSealedBeerWouldExceedTheLimit) {
    Watcher north;
    // Sealed with 2.5 volumes at 4 degC and 10 % head space, warmed to 25 degC: 2.415 bar gauge (computed, f
    // = 0.95).
    const auto cold = [](double warm_kpa, Duration moment) {
        return believing(head_at(68, moment), Quantity::warm_pressure, warm_kpa);
    };

    EXPECT_EQ(north.sees(cold(241.5, 0min)), Said{});
    EXPECT_EQ(north.sees(cold(241.5, 2min)), Said{"warm_pressure_above_limit raised"});
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("could reach 2.42 bar"));
    EXPECT_EQ(north.sees(cold(170, 40min)), Said{});
    EXPECT_EQ(north.sees(cold(170, 70min)), Said{"warm_pressure_above_limit cleared"});
}

TEST(PressureBand, RingsOutsideOfTheStagesBandOnceItWasReached) {
    Watcher north;
    const auto carbonating = [](double kpa, Duration moment) {
        Situation now = head_at(kpa, moment);
        now.stage = StageKind::carbonate;
        now.stage_since = at(0min);
        now.temperature_band_c.reset();
        now.pressure_band_kpa = base::Band{80, 100};
        now.head_space = HeadSpace::supplied;
        return now;
    };

    EXPECT_EQ(north.sees(carbonating(0, 0min)), Said{});
    EXPECT_EQ(north.sees(carbonating(40, 60min)), Said{});
    EXPECT_EQ(north.sees(carbonating(90, 2h)), Said{});
    EXPECT_EQ(north.sees(carbonating(60, 3h)), Said{});
    EXPECT_EQ(north.sees(carbonating(55, 3h + 10min)), Said{"pressure_out_of_band raised"});
    EXPECT_EQ(north.phone[0].title, "North: pressure is low, 0.55 bar");
}

TEST(PressureBand, NobodyIsAskedForMoreThanTheVesselBears) {
    for (const double wanted_kpa : {400.0, 175.0}) {
        Watcher north;
        for (auto moment = 0min; moment <= 30h; moment += 10min) {
            Situation now = head_at(60, moment);
            now.head_space = HeadSpace::supplied;
            now.pressure_band_kpa = base::Band{wanted_kpa, wanted_kpa + 100};
            EXPECT_EQ(north.sees(now), Said{});
        }
    }
}

TEST(PressureBand, SaysWhatTheVesselBearsToWhomItSendsToTheRegulator) {
    Watcher north;
    for (const auto moment : {0min, 10min}) {
        Situation now = head_at(60, moment);
        now.relief_kpa = 180;
        now.plate_kpa = 200;
        now.pressure_band_kpa = base::Band{80, 100};
        (void)north.sees(now);
    }

    EXPECT_THAT(
        north.phone.at(0).text,
        testing::StartsWith("Check the spunding valve, the regulator and the cylinder. Head pressure is "
                            "0.60 bar, below the stage's 0.80 bar, since Sun 1 Mar 18:00. Stay below what "
                            "the vessel bears: the relief valve is set to 1.80 bar, the plate allows 2.00 "
                            "bar. "));
}

TEST(Pressure, AReadingFromHoursAgoDoesNotRingNow) {
    Watcher north;
    Situation now = head_at(175, -3h);
    now.at = at(0min);

    EXPECT_EQ(north.sees(now), Said{});
}

TEST(PressureNearLimit, AfterTheShelfItTellsHowItIsNow) {
    Watcher north;
    (void)north.sees(head_at(175, 0min));
    ASSERT_TRUE(north.panel.shelve(north.log[0].alarm, at(1min), at(60min)));

    EXPECT_EQ(north.sees(head_at(150, 60min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.phone.back().priority, Priority::medium);
}

TEST(Pressure, NonsenseNeitherRingsNorClears) {
    Watcher north;
    for (const double nonsense : {nan, infinity, -infinity})
        EXPECT_EQ(north.sees(head_at(nonsense, 0min)), Said{});
    ASSERT_EQ(north.sees(head_at(150, 1min)), Said{"pressure_near_limit raised"});
    for (auto moment = 2min; moment < 40min; moment += 1min)
        EXPECT_EQ(north.sees(head_at(nan, moment)), Said{});

    EXPECT_EQ(north.panel.standing().size(), 1U);
}

}  // namespace
}  // namespace gyled::alarms
