#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

/// A vessel at `celsius` with `kpa` above it, cooling by 2 K a minute.
Situation cooling(double celsius, double kpa, HeadSpace mode, Duration moment) {
    Situation now = with(beer_at(celsius, moment), Quantity::head_pressure, kpa);
    now.stage = StageKind::chill;
    now.temperature_band_c.reset();
    now.head_space = mode;
    now.movement.target_c = 20;
    now.movement.temperature = Slope{-120, 2};
    now.movement.warmest_c = celsius + 3;
    now.movement.pressure_before_kpa = 0;
    now.movement.pressure_noise_kpa = 0.3;
    return now;
}

TEST(SteamCollapse, RingsAtOnceForAVesselThatIsClosedHotAndToBeCooled) {
    Watcher north;
    Situation hot = cooling(80, 0, HeadSpace::sealed, 0min);
    hot.movement.temperature = Slope{0, 2};

    EXPECT_EQ(north.sees(hot), Said{"steam_collapse raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::critical);
    // Steam tables (IAPWS-IF97: 47.41 kPa at 80 degC) and gas law: (101.3 - 47.4) 293 / 353 + 2.3 = 47.1 kPa
    // are left with air above the wort, 2.3 of steam alone.
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("-0.54 bar"));
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("-0.99 bar"));
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("Stop cooling now"));
}

TEST(SteamCollapse, AChillIsACoolingAlsoWithoutATarget) {
    Watcher north;
    Situation hot = cooling(80, 0, HeadSpace::sealed, 0min);
    hot.movement.temperature = Slope{0, 2};
    hot.movement.target_c.reset();
    hot.movement.warmest_c = 80;
    EXPECT_EQ(north.sees(hot), Said{"steam_collapse raised"});
}

TEST(SteamCollapse, IsNotToldOfAMashThatStaysHot) {
    Watcher north;
    Situation mash = cooling(67, 0, HeadSpace::sealed, 0min);
    mash.stage = StageKind::mash;
    mash.movement.target_c.reset();
    mash.movement.temperature = Slope{-1, 0.2};
    mash.movement.warmest_c = 67.2;

    EXPECT_EQ(north.sees(mash), Said{});
}

TEST(SteamCollapse, IsToldOfAVentThatLetsNoAirIn) {
    Watcher north;
    EXPECT_EQ(north.sees(cooling(80, -1, HeadSpace::vented, 0min)), Said{}) << "noise";
    EXPECT_EQ(north.sees(cooling(79, -2, HeadSpace::vented, 1min)), Said{"steam_collapse raised"});
}

TEST(SteamCollapse, AKnockThatSteamCannotExplainIsNoCollapse) {
    Watcher north;
    Situation knocked = cooling(52, -60, HeadSpace::vented, 0min);
    knocked.vacuum_limit_kpa = -90;  // the raw rule stays out of it
    EXPECT_EQ(north.sees(knocked), Said{});
}

TEST(SteamCollapse, IsOverWhenItIsCold) {
    Watcher north;
    ASSERT_EQ(north.sees(cooling(80, 0, HeadSpace::sealed, 0min)), Said{"steam_collapse raised"});
    EXPECT_EQ(north.sees(cooling(49, 0, HeadSpace::sealed, 20min)), Said{}) << "within the deadband";
    EXPECT_EQ(north.sees(cooling(21, 0, HeadSpace::sealed, 25min)), Said{});
    EXPECT_EQ(north.sees(cooling(21, 0, HeadSpace::sealed, 31min)), Said{"steam_collapse cleared"});
}

TEST(SteamCollapse, AVesselThatBearsFullVacuumHasNothingToFear) {
    Watcher north;
    Situation rated = cooling(80, 0, HeadSpace::sealed, 0min);
    rated.vacuum_limit_kpa = -101;
    EXPECT_EQ(north.sees(rated), Said{});
}

TEST(SteamCollapse, NobodyKnowsWithoutAThermometer) {
    Watcher north;
    Situation blind = cooling(80, 0, HeadSpace::sealed, 0min);
    blind.latest.erase(Quantity::beer_temperature);
    EXPECT_EQ(north.sees(blind), Said{});
    EXPECT_EQ(north.sees(cooling(nan, 0, HeadSpace::sealed, 1min)), Said{});
}

TEST(VacuumAhead, IsToldOfASlowCoolingToo) {
    Watcher north;
    // Sealed at 0 gauge and 20 degC with 10 % head space, lagered at 1: -46.37 kPa gauge (safety.csv,
    // crash_10: computed, f = 0.95).
    const auto lagering = [](Duration moment) {
        Situation now = cooling(20, 0, HeadSpace::sealed, moment);
        now.stage = StageKind::condition;
        now.volume_l = 100;
        now.total_volume_l = 110;
        now.movement.target_c = 1;
        now.movement.temperature = Slope{-1, 0.1};
        return now;
    };

    EXPECT_EQ(north.sees(lagering(0min)), Said{});
    EXPECT_EQ(north.sees(lagering(10min)), Said{"vacuum_ahead raised"});
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("-0.46 bar"));
}

TEST(VacuumAhead, WarmWortTakesUpNoGasAndShrinks) {
    Watcher north;
    // Gas law and steam tables: (101.3 - 7.4) * 293.15 / 313.15 + 2.3 - 101.3 = -11.1 kPa.
    const auto chilling = [](Duration moment) { return cooling(40, 0, HeadSpace::sealed, moment); };
    EXPECT_EQ(north.sees(chilling(0min)), Said{});
    EXPECT_EQ(north.sees(chilling(10min)), Said{"vacuum_ahead raised"});
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("-0.11 bar"));
}

TEST(VacuumAhead, AFermentMakesItsOwnGas) {
    Watcher north;
    for (const auto moment : {0min, 20min}) {
        Situation now = cooling(22, 2, HeadSpace::spunded, moment);
        now.stage = StageKind::ferment;
        EXPECT_EQ(north.sees(now), Said{});
    }
}

TEST(VacuumAhead, IsToldOfBeerThatIsDrawnWithTheGasOff) {
    Watcher north;
    const auto serving = [](double kpa, bool falls, Duration moment) {
        Situation now = with(beer_at(8, moment), Quantity::head_pressure, kpa);
        now.stage = StageKind::serve;
        now.temperature_band_c.reset();
        now.head_space = HeadSpace::supplied;
        if (falls) now.movement.pressure_fall = Slope{-30, 2};
        return now;
    };

    EXPECT_EQ(north.sees(serving(60, true, 0min)), Said{}) << "the ordinary droop of a pour";
    EXPECT_EQ(north.sees(serving(4, true, 10min)), Said{});
    EXPECT_EQ(north.sees(serving(2, true, 20min)), Said{"vacuum_ahead raised"});
    EXPECT_THAT(north.phone[0].title, testing::HasSubstr("gas off"));
    EXPECT_EQ(north.sees(serving(50, false, 30min)), Said{});
    EXPECT_EQ(north.sees(serving(50, false, 60min)), Said{"vacuum_ahead cleared"});
}

TEST(VacuumAhead, ALeakStopsAtZero) {
    Watcher north;
    for (const auto moment : {0min, 10min, 20min}) {
        Situation now = with(beer_at(8, moment), Quantity::head_pressure, 3);
        now.stage = StageKind::serve;
        now.temperature_band_c.reset();
        now.head_space = HeadSpace::sealed;
        now.movement.pressure_fall = Slope{-1, 0.1};
        EXPECT_EQ(north.sees(now), Said{});
    }
}

TEST(CausticOnCO2, IsToldWhenCleaningBegins) {
    const auto cleaning = [](bool found_co2, HeadSpace mode) {
        Situation now = with(beer_at(60, 0min), Quantity::head_pressure, 0);
        now.stage = StageKind::clean;
        now.temperature_band_c.reset();
        now.found_co2 = found_co2;
        now.head_space = mode;
        return now;
    };
    Watcher north, south, aired;
    EXPECT_EQ(north.sees(cleaning(true, HeadSpace::vented)), Said{"caustic_on_co2 raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("-0.05 bar"));
    EXPECT_EQ(south.sees(cleaning(true, HeadSpace::sealed)), Said{"caustic_on_co2 raised"});
    EXPECT_EQ(south.phone[0].priority, Priority::critical);
    EXPECT_EQ(aired.sees(cleaning(false, HeadSpace::vented)), Said{});
}

}  // namespace
}  // namespace gyled::alarms
