/// Closed with sugar left: by the unsafe end, within minutes, and never steering a person upwards.

#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

/// Three points left, as a filter in doubt would say; the vessel bears 180 kPa.
Situation closed(HeadSpace mode, double kpa, double end, double end_high, Duration moment) {
    Situation now = with(fermenting(moment), Quantity::head_pressure, kpa);
    now.head_space = mode;
    now.estimates[Quantity::closed_pressure] = {end, end - 60, end_high};
    now.estimates[Quantity::closing_gravity] = {1.0125, 1.0125, 1.0140};
    now.estimates[Quantity::gravity_now] = {1.0154, 1.0148, 1.0160};
    now.estimates[Quantity::final_gravity] = {1.0110, 1.0100, 1.0120};
    return now;
}

TEST(ClosedWithSugar, IsToldWithinMinutesOfShutting) {
    Watcher north;
    for (Duration moment = 0min; moment < 60min; moment += 1min)
        EXPECT_EQ(north.sees(closed(HeadSpace::vented, 0.4, 193, 240, moment)), Said{});

    EXPECT_EQ(north.sees(closed(HeadSpace::sealed, 0.4, 193, 240, 60min)), Said{});
    EXPECT_EQ(north.sees(closed(HeadSpace::sealed, 0.9, 193, 240, 62min)), Said{"closed_with_sugar raised"});
    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.log[0].priority, Priority::high);
    EXPECT_EQ(north.phone[0].title, "North: closed with too much sugar left");
    EXPECT_THAT(
        north.phone[0].text,
        testing::HasSubstr("Closed as it is, it ends at about 1.93 bar, perhaps at 2.40 bar; its lowest "
                           "rated part bears 1.80 bar. Close it from 1.0125 SG on; gravity is "
                           "1.015 SG now."));
    EXPECT_THAT(first_aid("closed_with_sugar"),
                testing::StartsWith("Open it to the spunding valve or vent, slowly"));
}

/// Half of the worlds in which the limit is passed have their middle below it. Closed for three days.
TEST(ClosedWithSugar, IsJudgedByTheUnsafeEnd) {
    Watcher north;
    north.sees(closed(HeadSpace::sealed, 2, 150, 185, 0min));
    EXPECT_EQ(north.sees(closed(HeadSpace::sealed, 2, 150, 185, 2min)), Said{"closed_with_sugar raised"});
    Watcher calm;
    calm.sees(closed(HeadSpace::sealed, 2, 120, 170, 0min));
    EXPECT_EQ(calm.sees(closed(HeadSpace::sealed, 2, 120, 170, 5min)), Said{});
}

/// Shut a moment ago, with a gauge: it tells within minutes how busy the yeast is.
Situation just_shut(double end, double end_high, Duration moment) {
    Situation now = closed(HeadSpace::sealed, 2, end, end_high, moment);
    now.stage_since = at(0min);
    return now;
}

TEST(ClosedWithSugar, WaitsForTheGaugeWhereOnlyTheUnsafeEndIsBeyond) {
    Watcher north;
    for (Duration moment = 0min; moment < 14min; moment += 1min)
        EXPECT_EQ(north.sees(just_shut(120, 240, moment)), Said{});
    EXPECT_EQ(north.sees(just_shut(120, 240, 14min)), Said{"closed_with_sugar raised"});

    Watcher calm;
    for (Duration moment = 0min; moment < 20min; moment += 1min)
        EXPECT_EQ(calm.sees(just_shut(80, moment < 6min ? 240 : 150, moment)), Said{})
            << "the gauge hardly moved";
}

/// What is possible and not probable asks for a measurement; the danger and what to do stand in it.
TEST(ClosedWithSugar, AsksForAHydrometerWhereItIsImprobable) {
    Watcher north;
    for (Duration moment = 12min; moment <= 14min; moment += 1min) north.sees(just_shut(100, 220, moment));

    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].priority, Priority::medium);
    EXPECT_EQ(north.phone[0].title, "North: closed, measure the sugar that is left");
    EXPECT_THAT(north.phone[0].text, testing::StartsWith("Take a hydrometer reading and enter it."));
    for (const char* told : {"leave the vessel open", "ends at about 1.00 bar, perhaps at 2.20 bar",
                             "bears 1.80 bar", "Close it from 1.0125 SG on"})
        EXPECT_THAT(north.phone[0].text, testing::HasSubstr(told));
}

TEST(ClosedWithSugar, WhatWasAskedRingsWhenItBecomesProbable) {
    Watcher north;
    for (Duration moment = 12min; moment <= 14min; moment += 1min) north.sees(just_shut(100, 220, moment));
    EXPECT_EQ(north.sees(just_shut(160, 240, 2h)), Said{"closed_with_sugar raised"});
    EXPECT_EQ(north.log.back().priority, Priority::high);
    EXPECT_EQ(north.sees(just_shut(100, 220, 3h)), Said{}) << "no less urgent than it was";
}

TEST(ClosedWithSugar, WhatWasAskedRingsWhenADayOfTheGaugeLeavesItOpen) {
    Watcher north;
    Said said;
    for (Duration moment = 12min; moment < 24h; moment += 2min)
        for (const auto& step : north.sees(just_shut(100, 220, moment))) said.push_back(step);
    EXPECT_EQ(said, Said{"closed_with_sugar raised"});
    EXPECT_EQ(north.sees(just_shut(100, 220, 24h)), Said{"closed_with_sugar raised"});
    EXPECT_EQ(north.log.back().priority, Priority::high);
}

/// The belief's scatter of a day that was calm.
TEST(ClosedWithSugar, WhatIsHardlyPossibleStaysARequest) {
    Watcher north;
    for (Duration moment = 30h; moment <= 30h + 4min; moment += 2min) north.sees(just_shut(70, 195, moment));
    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].priority, Priority::medium);
}

TEST(ClosedWithSugar, WhatWasAskedEndsWhenTheGaugeRulesItOut) {
    Watcher north;
    for (Duration moment = 12min; moment <= 14min; moment += 1min) north.sees(just_shut(100, 220, moment));
    north.sees(just_shut(60, 120, 5h));
    EXPECT_EQ(north.sees(just_shut(60, 120, 5h + 10min)), Said{"closed_with_sugar cleared"});
}

/// Without a gauge nothing more is to be waited for.
TEST(ClosedWithSugar, WhatWasAskedRingsWhenTheGaugeFallsSilent) {
    Watcher north;
    for (Duration moment = 12min; moment <= 14min; moment += 1min) north.sees(just_shut(100, 220, moment));
    Situation silent = just_shut(100, 220, 2h);
    silent.latest.erase(Quantity::head_pressure);
    EXPECT_EQ(north.sees(silent), Said{"closed_with_sugar raised"});
    EXPECT_EQ(north.log.back().priority, Priority::high);
}

TEST(ClosedWithSugar, WaitsForNothingWhereItIsProbableOrNobodyReadsAGauge) {
    Watcher north;
    north.sees(just_shut(190, 240, 0min));
    EXPECT_EQ(north.sees(just_shut(190, 240, 2min)), Said{"closed_with_sugar raised"});
    const auto without_gauge = [](Duration moment) {
        Situation now = just_shut(120, 240, moment);
        now.latest.erase(Quantity::head_pressure);
        return now;
    };
    Watcher blind;
    blind.sees(without_gauge(0min));
    EXPECT_EQ(blind.sees(without_gauge(2min)), Said{"closed_with_sugar raised"});
}

/// The relief valve may open 2 psi below its mark (ASME VIII-1 UG-134(d)(1)): 180 kPa less 13.8.
TEST(ClosedWithSugar, StaysBelowWhereTheReliefValveMayOpen) {
    const auto relieved = [](double high, Duration moment) {
        Situation now = closed(HeadSpace::sealed, 2, 120, high, moment);
        now.relief_kpa = 180;
        return now;
    };
    Watcher north;
    north.sees(relieved(170, 0min));
    EXPECT_EQ(north.sees(relieved(170, 2min)), Said{"closed_with_sugar raised"});
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("its relief valve may open from 1.66 bar on"));
}

TEST(ClosedWithSugar, LeavesASpundingValveThatWorksAlone) {
    Watcher north;
    for (const double kpa : {5.0, 60.0, 99.0, 101.0, 104.0})
        for (Duration moment = 0min; moment < 30min; moment += 5min) {
            Situation now = closed(HeadSpace::spunded, kpa, 1900, 2300, moment);
            now.head_pressure_set_kpa = 100;
            EXPECT_EQ(north.sees(now), Said{}) << kpa;
        }
}

TEST(ClosedWithSugar, IsToldOfASpundingValveThatDoesNotOpenAndOfABlockedVent) {
    for (const HeadSpace mode : {HeadSpace::spunded, HeadSpace::vented}) {
        const double kpa = mode == HeadSpace::spunded ? 118 : 12;
        const auto stuck = [&](Duration moment) {
            Situation now = closed(mode, kpa, 400, 480, moment);
            if (mode == HeadSpace::spunded) now.head_pressure_set_kpa = 100;
            return now;
        };
        Watcher north;
        north.sees(stuck(0min));
        EXPECT_EQ(north.sees(stuck(2min)), Said{"closed_with_sugar raised"});
    }
}

TEST(ClosedWithSugar, EndsWhenItIsOpened) {
    Watcher north;
    north.sees(closed(HeadSpace::sealed, 4, 193, 240, 0min));
    north.sees(closed(HeadSpace::sealed, 4, 193, 240, 2min));
    north.sees(closed(HeadSpace::vented, 0.3, 193, 240, 20min));
    EXPECT_EQ(north.sees(closed(HeadSpace::vented, 0.3, 193, 240, 30min)), Said{"closed_with_sugar cleared"});
    EXPECT_THAT(north.phone.back().text, testing::HasSubstr("Gas can leave again."));
}

TEST(ClosedWithSugar, SaysWhenNoGravityIsSafe) {
    const auto pressed = [](Duration moment) {
        Situation now = closed(HeadSpace::sealed, 150, 260, 300, moment);
        now.pressure_limit_kpa = 250;
        now.estimates[Quantity::closing_gravity] = {1.0090, 1.0090, 1.0105};
        return now;
    };
    Watcher north;
    north.sees(pressed(0min));
    EXPECT_EQ(north.sees(pressed(2min)), Said{"closed_with_sugar raised"});
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("it cannot be closed at all: let gas off first"));
    EXPECT_THAT(north.phone[0].text, testing::Not(testing::HasSubstr("Close it from")));
}

TEST(ClosedWithSugar, SaysNothingWhereNobodyKnows) {
    Watcher north;
    for (const Duration moment : {0min, 10min, 20min}) {
        Situation unrated = closed(HeadSpace::sealed, 4, 193, 240, moment);
        unrated.pressure_limit_kpa.reset();
        EXPECT_EQ(north.sees(unrated), Said{});
        Situation empty = closed(HeadSpace::sealed, 4, 193, 240, moment);
        empty.stage.reset();
        EXPECT_EQ(north.sees(empty), Said{});
        Situation finished = closed(HeadSpace::sealed, 4, 193, 240, moment);
        finished.estimates.erase(Quantity::closing_gravity);
        EXPECT_EQ(north.sees(finished), Said{});
        EXPECT_EQ(north.sees(closed(HeadSpace::sealed, 4, nan, nan, moment)), Said{});
        Situation blind = closed(HeadSpace::vented, 40, 193, 240, moment);
        blind.latest.erase(Quantity::head_pressure);
        EXPECT_EQ(north.sees(blind), Said{});
    }
}

/// Its own default is longer than a minute; asking for that is no risk.
TEST(ClosedWithSugar, MayBeTunedToItsDefault) {
    const auto delayed = [](const char* rule, Duration by) {
        RuleTuning tuning;
        tuning.rule = rule;
        tuning.on_delay = by;
        return tuning;
    };
    EXPECT_TRUE(check(delayed("closed_with_sugar", 2min)).empty());
    EXPECT_FALSE(check(delayed("closed_with_sugar", 3min)).empty());
    EXPECT_FALSE(check(delayed("pressure_near_limit", 2min)).empty());
}

TEST(WarmPressure, OfAVesselJustShutIsNoRingWhereItIsImprobable) {
    const auto shut = [](double warm, double high, Duration moment) {
        Situation now = head_at(5, moment);
        now.stage_since = at(0min);
        now.estimates[Quantity::warm_pressure] = {warm, warm - 40, high};
        return now;
    };
    Watcher north;
    for (Duration moment = 12min; moment <= 14min; moment += 1min) north.sees(shut(100, 220, moment));
    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].priority, Priority::medium);
    EXPECT_EQ(north.sees(shut(170, 220, 1h)), Said{"warm_pressure_above_limit raised"});
    EXPECT_EQ(north.log.back().priority, Priority::high);
}

TEST(WarmPressure, IsJudgedByTheUnsafeEndWithinMinutes) {
    const auto cold = [](Duration moment) {
        Situation now = head_at(68, moment);
        now.estimates[Quantity::warm_pressure] = {165, 140, 195};
        return now;
    };
    Watcher north;
    north.sees(cold(0min));
    EXPECT_EQ(north.sees(cold(2min)), Said{"warm_pressure_above_limit raised"});
    EXPECT_EQ(north.log[0].priority, Priority::high);
}

}  // namespace
}  // namespace gyled::alarms
