/// Packaging, relief and brew day: short sums that people act on.

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/brew_day.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/brewing/relief.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

TEST(Packaging, PrimesToTheTarget) {
    for (const Sugar sugar : {Sugar::sucrose, Sugar::glucose, Sugar::glucose_monohydrate}) {
        for (double target = 1.5; target < 4; target += 0.25) {
            Package package{.residual_volumes = 0.86, .points_left = 1.0, .sugar = sugar};
            package.sugar_g_per_litre = priming_g_per_litre(target, package);
            EXPECT_NEAR(final_volumes(package), target, 1e-12);
        }
    }
}

TEST(Packaging, CountsEveryPointLeftAsHalfAVolume) {
    EXPECT_NEAR(final_volumes({.residual_volumes = 0.8, .points_left = 4}), 2.8, 1e-12);
    for (const double original : {1.040, 1.060, 1.080})
        EXPECT_NEAR(co2_volumes_from_drop({original, 1.014, 1.013}), volumes_per_gravity_point, 0.01);
    EXPECT_LT(priming_g_per_litre(2.5, {.residual_volumes = 0.9, .points_left = 6}), 0)
        << "too much gas already";
}

TEST(Packaging, PassesNanOn) {
    EXPECT_TRUE(std::isnan(final_volumes({.residual_volumes = nan_value})));
    EXPECT_TRUE(std::isnan(final_volumes({.residual_volumes = 1, .points_left = nan_value})));
    EXPECT_TRUE(std::isnan(priming_g_per_litre(nan_value, {.residual_volumes = 1})));
    EXPECT_TRUE(std::isnan(co2_yield(static_cast<Sugar>(99)))) << "no such sugar";
}

TEST(Packaging, TrustsAnUnknownBottleLeast) {
    EXPECT_LE(volumes_max_unknown_bottle, volumes_max_can);
    EXPECT_LT(volumes_max_can, volumes_max_crown_cap_bottle);
    EXPECT_LT(volumes_max_crown_cap_bottle, volumes_max_heavy_bottle);
}

TEST(Relief, TolerancesMeetNearSeventyPsi) {
    EXPECT_NEAR(psi_from_kpa(set_tolerance_kpa(kpa_from_psi(70))), 2.0, 1e-9);
    EXPECT_NEAR(psi_from_kpa(set_tolerance_kpa(kpa_from_psi(71))), 2.13, 1e-9);
    EXPECT_TRUE(std::isnan(set_tolerance_kpa(nan_value)));
}

/// UG-134(d)(1): 2 psi below its mark up to 70 psi.
TEST(Relief, LeavesRoomForTheTolerance) {
    EXPECT_NEAR(bearable_kpa(180, 180.0), 180 - 2 * 6.8948, 0.01);
    EXPECT_EQ(bearable_kpa(150, 180.0), 150) << "a weaker part decides";
    EXPECT_EQ(bearable_kpa(180, std::nullopt), 180);
    EXPECT_NEAR(bearable_kpa(20, 20.0), 10, 1e-9) << "of a low mark something must be left";
}

TEST(CarbonDioxideInARoom, IsDangerousInASmallCellar) {
    // 20 L of 12 degP wort leave 419 L of gas, in 10 m3 of air: beyond what NIOSH calls dangerous at once.
    EXPECT_GT(co2_in_room_ppm(419, 10), co2_ppm_dangerous_at_once);
    EXPECT_LT(co2_in_room_ppm(419, 30), co2_ppm_15_minutes_hse);
    EXPECT_GT(co2_in_room_ppm(419, 30), co2_ppm_8_hours);
    EXPECT_TRUE(std::isinf(co2_in_room_ppm(1, 0)));
    EXPECT_TRUE(std::isnan(co2_in_room_ppm(nan_value, 30)));
}

TEST(Strike, IsWhatTheMashComesFrom) {
    for (double mash = 45; mash <= 78; mash += 3) {
        for (double ratio = 2; ratio <= 5; ratio += 0.5) {
            for (const double moisture : {0.0, 3.0, 8.0}) {
                const MaltHeat malt = malt_heat(moisture);
                const Grist grist{18, ratio, malt.specific_heat, slaking_kj_per_kg(malt)};
                EXPECT_NEAR(mash_temperature_c(strike_temperature_c(mash, grist), grist), mash, 1e-10);
            }
        }
    }
    EXPECT_GT(strike_temperature_c(67, {20, 2.5}), strike_temperature_c(67, {20, 4}))
        << "a thick mash cools it more";
    EXPECT_GT(strike_temperature_c(67, {5, 3}), strike_temperature_c(67, {20, 3})) << "so does cold grain";
    EXPECT_NEAR(strike_temperature_c(67, {67, 3}), 67, 1e-12);
    EXPECT_TRUE(std::isnan(strike_temperature_c(nan_value, {20, 3})));
}

TEST(MaltHeat, LiesBetweenTheLinesOfItsTable) {
    EXPECT_DOUBLE_EQ(malt_heat(4).specific_heat, 0.40);
    EXPECT_DOUBLE_EQ(malt_heat(5).slaking_c, 1.4);
    EXPECT_DOUBLE_EQ(malt_heat(20).specific_heat, 0.42);
    EXPECT_DOUBLE_EQ(malt_heat(-3).slaking_c, 3.0);
    for (double m = 0; m < 8; m += 0.1) {
        EXPECT_LT(malt_heat(m).specific_heat, malt_heat(m + 0.1).specific_heat);
        EXPECT_GT(malt_heat(m).slaking_c, malt_heat(m + 0.1).slaking_c);
    }
    EXPECT_TRUE(std::isnan(malt_heat(nan_value).specific_heat));
    EXPECT_TRUE(std::isnan(malt_heat(nan_value).slaking_c));
}

/// Wetting gives so many kJ for each kg of malt, however much liquor takes them up: at 5 L/kg the mash warms
/// by less than the table's degrees, which stand for 2.68 L/kg. That the heat is shared by liquor and grain:
/// the textbooks of malting and brewing (from memory). Some 18 kJ per kg of usual malt.
TEST(Slaking, IsAHeatAndNoTemperature) {
    const auto warms_by = [](double ratio) {
        const MaltHeat malt = malt_heat(4);
        const Grist dry{18, ratio, malt.specific_heat};
        const Grist malty{18, ratio, malt.specific_heat, slaking_kj_per_kg(malt)};
        return mash_temperature_c(72, malty) - mash_temperature_c(72, dry);
    };
    EXPECT_NEAR(warms_by(2.68), 1.5, 1e-9);
    EXPECT_NEAR(warms_by(5), 0.8, 0.1);
    for (double ratio = 2; ratio < 6; ratio += 0.5)
        EXPECT_NEAR(warms_by(ratio) * (ratio + 0.40) * 4.186, 18, 2) << ratio;
}

TEST(HeatUp, TakesTimeByWaterAndPower) {
    const Heating kettle{.litres = 30, .power_kw = 3.5, .efficiency = 0.9};
    EXPECT_NEAR(heat_up_minutes(kettle, 15, 70),
                heat_up_minutes(kettle, 15, 40) + heat_up_minutes(kettle, 40, 70), 1e-9);
    EXPECT_NEAR(heat_up_c_per_minute(kettle) * heat_up_minutes(kettle, 15, 70), 55, 1e-9);
    EXPECT_EQ(heat_up_minutes(kettle, 66, 66), 0);
    EXPECT_TRUE(std::isinf(heat_up_minutes({30, 0}, 15, 70)));
    EXPECT_TRUE(std::isnan(heat_up_minutes({nan_value, 3.5}, 15, 70)));
}

TEST(GravityPoints, SurviveBoilAndDilution) {
    for (double target = 1.030; target < 1.060; target += 0.005) {
        const double water = dilution_litres(1.062, 20, target);
        EXPECT_NEAR(sg_after_volume_change(1.062, 20, 20 + water), target, 1e-12);
        EXPECT_GT(water, 0);
    }
    EXPECT_LT(dilution_litres(1.040, 25, 1.050), 0) << "boil it off";
    EXPECT_DOUBLE_EQ(sg_after_volume_change(1.044, 30, 30), 1.044);
    EXPECT_TRUE(std::isinf(dilution_litres(1.040, 25, 1.0)));
    EXPECT_TRUE(std::isnan(sg_after_volume_change(1.04, nan_value, 20)));
}

}  // namespace
}  // namespace gyled::brewing
