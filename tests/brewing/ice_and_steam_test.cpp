/// Ice and steam: what freezes when, and what a vessel shut hot pulls as it cools.

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/freezing.hpp"
#include "daemon/brewing/steam.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

TEST(Freezing, OfAlcoholFollowsTheDiluteSolution) {
    // Water: 1.86 K kg/mol (CRC Handbook); ethanol 46.07 g/mol. An ideal solution, so within 0.2 K up to 6 %.
    for (double percent = 1; percent <= 6; percent += 1) {
        const double molality = percent / 46.07 / (100 - percent) * 1000;
        EXPECT_NEAR(freezing_point_c({percent, 0}) - freezing_point_c({0, 0}), -1.86 * molality, 0.2)
            << percent;
    }
}

TEST(Freezing, OfACommonBeer) {
    // 5 % by volume, 4 % by weight, brewed at 12 degrees Plato: about -2.4 degC (from memory)
    EXPECT_NEAR(freezing_point_c({4.0, 12}), -2.4, 0.1);
    EXPECT_TRUE(std::isnan(freezing_point_c({nan_value, 12})));
}

TEST(Steam, LeavesWhatTheSteamTablesSay) {
    // IAPWS-IF97: 84.609 kPa at 95 degC, 2.339 at 20; gas law for the air between
    const double after =
        pressure_after_condensing(standard_atmosphere, 95, 20).kpa_gauge(standard_atmosphere);
    EXPECT_NEAR(after, (101.325 - 84.609) * 293.15 / 368.15 + 2.339 - 101.325, 0.02);
    EXPECT_NEAR(after, -86, 0.5);
    const double boiling =
        pressure_after_condensing(standard_atmosphere, 100, 20).kpa_gauge(standard_atmosphere);
    EXPECT_NEAR(boiling, 2.339 - 101.325, 0.05) << "no air is left above what boils";
}

TEST(Steam, HotterThanItsPressureAllowsHoldsNoAir) {
    EXPECT_NEAR(pressure_after_condensing(standard_atmosphere, 120, 20).kpa_absolute(), 2.339, 0.01);
    EXPECT_TRUE(std::isnan(pressure_after_condensing(standard_atmosphere, 95, nan_value).kpa_absolute()));
}

}  // namespace
}  // namespace gyled::brewing
