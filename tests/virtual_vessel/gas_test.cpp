#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/solubility.hpp"
#include "sensors/virtual_vessel/plant/head_space.hpp"

namespace gyled::virtual_vessel {
namespace {

using base::HeadSpace;

GasSpace::Shape shape(double beer_l, double head_l, bool real_gas) {
    return {.beer_l = beer_l,
            .head_l = head_l,
            .solubility_factor = 0.95,
            .still_kla_per_h = 0.5,
            .real_gas = real_gas};
}

/// A shut vessel at another temperature until nothing changes any more; gauge over the standard atmosphere.
double settled_gauge_kpa(GasSpace gas, double celsius) {
    const Ways shut{.mode = HeadSpace::sealed, .relief_kpa = 1e6};
    for (int minute = 0; minute < 60 * 240; ++minute) gas.step(1.0 / 60.0, celsius, 0, shut);
    return gas.pressure_kpa() - 101.325;
}

struct WarmRow {
    double head_l, from_c, volumes, to_c, gauge_bar, tolerance_bar;
};
/// Sealed at equilibrium and warmed, f = 0.95, fugacity and virial coefficient included: computed from
/// Weiss's solubility (Marine Chemistry 2 (1974) 203) and vapour pressure (Weiss and Price 1980), 100 L of
/// beer; the tolerance is a tenth of a percent, and the virial series' rounding.
constexpr WarmRow warm_rows[] = {
    {2, 2, 2.5, 20, 2.093611, 0.002},  {5, 2, 2.5, 20, 2.050518, 0.002},  {10, 2, 2.5, 20, 1.984854, 0.002},
    {20, 2, 2.5, 20, 1.872565, 0.002}, {10, 4, 2.5, 25, 2.415134, 0.002}, {10, 4, 2.8, 30, 3.313214, 0.003},
    {10, 2, 2.2, 20, 1.623527, 0.002},
};

TEST(GasSpace, WarmedUpSealedBeerReachesTheReferencePressure) {
    for (const WarmRow& row : warm_rows) {
        const GasSpace cold{shape(100, row.head_l, true), row.from_c, 101.325, row.volumes, true};

        EXPECT_NEAR(settled_gauge_kpa(cold, row.to_c) / 100.0, row.gauge_bar, row.tolerance_bar)
            << row.head_l << " L of head, " << row.from_c << " to " << row.to_c << " degC";
    }
}

struct CrashRow {
    double head_l, gauge_kpa;
};
/// Saturated at 20 degC and 0 kPa gauge, shut, cooled to 1 degC, ideal gas: same sources, 100 L of beer.
constexpr CrashRow crash_rows[] = {{5, -47.53844}, {10, -46.3742}, {25, -43.26033}, {50, -39.06194}};

TEST(GasSpace, CrashedSealedBeerReachesTheReferenceVacuum) {
    const double saturated =
        brewing::beer_factor_typical * brewing::volumes_in_water_ideal(20, base::standard_atmosphere);
    for (const CrashRow& row : crash_rows) {
        const GasSpace warm{shape(100, row.head_l, false), 20, 101.325, saturated, true};

        EXPECT_NEAR(settled_gauge_kpa(warm, 1), row.gauge_kpa, 0.0005 * std::abs(row.gauge_kpa) + 0.01)
            << row.head_l;
    }
}

TEST(GasSpace, PullsAVacuumSlowlyBecauseUptakeIsSlow) {
    const double saturated = brewing::volumes_in_beer(20, base::standard_atmosphere);
    GasSpace::Shape still = shape(20, 5, true);
    still.still_kla_per_h = 0.0125;
    GasSpace gas{still, 20, 101.325, saturated, true};
    const Ways shut{.mode = HeadSpace::sealed};

    gas.step(1.0 / 60.0, 1, 0, shut);
    const double at_once = gas.pressure_kpa() - 101.325;
    for (int minute = 0; minute < 60 * 24; ++minute) gas.step(1.0 / 60.0, 1, 0, shut);
    const double after_a_day = gas.pressure_kpa() - 101.325;

    // Gas cooling alone: -8.1 kPa (ideal gas and vapour pressure, computed); uptake does the rest.
    EXPECT_NEAR(at_once, -8.1, 0.6);
    EXPECT_LT(after_a_day, -20);
    EXPECT_GT(after_a_day, -44);
}

TEST(GasSpace, SaturatesInTheTimeThatItsTransferCoefficientAsksFor) {
    // 95 % of the way takes 3.0 / kLa: 239.7 h at 0.0125 per hour (first-order exchange).
    GasSpace::Shape still = shape(20, 5, true);
    still.still_kla_per_h = 0.0125;
    GasSpace gas{still, 3, 101.325, 0.85, true};
    const Ways bottle{.mode = HeadSpace::supplied, .set_kpa = 101.325 + 80};
    double hours = 0;
    gas.step(1.0 / 60.0, 3, 0, bottle);
    const double start = 0.85;
    const double goal = brewing::volumes_in_beer(3, base::Pressure::from_kpa_absolute(181.325));
    while (gas.dissolved_volumes() < start + 0.95 * (goal - start) && hours < 1000) {
        gas.step(1.0 / 60.0, 3, 0, bottle);
        hours += 1.0 / 60.0;
    }

    EXPECT_NEAR(hours, 239.7, 2.5);
}

TEST(GasSpace, KeepsEveryMoleInItsBooks) {
    GasSpace gas{shape(20, 5, true), 19, 101.325, 0.02, false};
    const double started = gas.dissolved_mol() + gas.head_mol();
    double produced = 0;
    for (int minute = 0; minute < 60 * 100; ++minute) {
        Ways ways{.mode = minute < 3000 ? HeadSpace::spunded : HeadSpace::supplied, .set_kpa = 181};
        ways.leak = 1e-4;
        gas.step(1.0 / 60.0, minute < 3000 ? 19 : 4, minute < 3000 ? 0.002 : 0, ways);
        produced += minute < 3000 ? 0.002 : 0;
    }

    EXPECT_NEAR(started + produced + gas.supplied_mol(),
                gas.dissolved_mol() + gas.head_mol() + gas.lost_mol(), 1e-9 * produced);
    EXPECT_GT(gas.lost_mol(), 1);
    EXPECT_GT(gas.supplied_mol(), 0.1);
}

TEST(GasSpace, SpundingValveHoldsItsSetPointAndLetsNothingIn) {
    GasSpace gas{shape(20, 5, true), 19, 101.325, 0.85, true};
    const Ways valve{.mode = HeadSpace::spunded, .set_kpa = 101.325 + 100};
    for (int minute = 0; minute < 60 * 60; ++minute) gas.step(1.0 / 60.0, 19, 0.004, valve);
    for (int minute = 0; minute < 60 * 24; ++minute) {
        gas.step(1.0 / 60.0, 19, 0.004, valve);
        ASSERT_NEAR(gas.pressure_kpa() - 101.325, 100, 2.5);
    }
    for (int minute = 0; minute < 60 * 240; ++minute) gas.step(1.0 / 60.0, 1, 0, valve);

    EXPECT_LT(gas.pressure_kpa() - 101.325, 60);
    EXPECT_GT(gas.co2_fraction(), 0.999);
}

TEST(GasSpace, ReliefValveOpensAtItsPressureAndAccumulatesLittle) {
    GasSpace gas{shape(20, 5, true), 20, 101.325, 0.85, true};
    const Ways shut{.mode = HeadSpace::sealed, .relief_kpa = 101.325 + 180};
    double highest = 0;
    bool opened = false;
    for (int minute = 0; minute < 60 * 200; ++minute) {
        gas.step(1.0 / 60.0, 20, 0.005, shut);
        highest = std::max(highest, gas.pressure_kpa() - 101.325);
        opened = opened || gas.relief_open();
    }

    EXPECT_TRUE(opened);
    EXPECT_GE(highest, 179.5);
    EXPECT_LE(highest, 198);  // 10 % above the setting: ASME BPVC VIII-1 UG-125(c)
}

TEST(GasSpace, FoamsOffWhatItCannotHold) {
    GasSpace gas{shape(20, 5, true), 20, 101.325, 3.0, true};
    const Ways open{.mode = HeadSpace::vented};
    for (int minute = 0; minute < 120; ++minute) gas.step(1.0 / 60.0, 20, 0, open);

    EXPECT_LT(gas.dissolved_volumes(), 1.35 * 0.81 * 1.1);
    EXPECT_GT(gas.dissolved_volumes(), 0.80);  // residual CO2 at 20 degC: 0.80 vol (0.95 of water, Weiss)
}

TEST(GasSpace, RegulatorWithAClosedBottleGivesNothing) {
    GasSpace gas{shape(20, 5, true), 3, 101.325, 1.2, true};
    const Ways shut{.mode = HeadSpace::supplied, .set_kpa = 101.325 + 80, .supply_shut = true};
    for (int minute = 0; minute < 600; ++minute) gas.step(1.0 / 60.0, 3, 0, shut);

    EXPECT_EQ(gas.supplied_mol(), 0);
    EXPECT_LT(gas.pressure_kpa(), 102);
}

}  // namespace
}  // namespace gyled::virtual_vessel
