#include "daemon/brewing/freezing.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace gyled::brewing {
namespace {

/// Balling's worked example of the textbooks: 12 degP fermented to 2.5 apparent is 4.0 % by weight, 5.1 % by
/// volume (from memory).
TEST(OriginalExtract, ComesBackFromAlcoholAndWhatIsLeft) {
    EXPECT_NEAR(original_extract_plato(4.015, 2.5), 12.0, 0.01);
    EXPECT_NEAR(original_extract_plato(0, 12), 12, 1e-9) << "nothing fermented";
    EXPECT_NEAR(alcohol_by_weight_from_volume(5.13, sg_from_plato(2.5)), 4.015, 0.02);
}

/// Ethanol in water freezes at -1.7 degC at 4 % by weight (cryoscopic constant of water 1.86 K kg/mol: 40 g /
/// 46.07 g/mol in 0.96 kg give 1.68 K), and the extract takes it some tenths further. The trade says -2 to
/// -2.5 for an ordinary beer (from memory).
TEST(FreezingPoint, LiesAFewTenthsBelowThatOfItsAlcohol) {
    const double of_alcohol = -1.86 * (40.0 / 46.07) / 0.96;
    const double beer = freezing_point_c(4.0, 12.0);
    EXPECT_LT(beer, of_alcohol - 0.2);
    EXPECT_GT(beer, of_alcohol - 1.0);
    EXPECT_GT(freezing_point_c(2.5, 9), beer) << "weaker freezes earlier";
    EXPECT_NEAR(freezing_point_c(0, 12), -0.7, 0.2)
        << "wort: sucrose of 12 % freezes at -0.8 (CRC, from memory)";
    EXPECT_TRUE(std::isnan(freezing_point_c(std::nan(""), 12)));
}

TEST(FreezingPoint, OfAlcoholFollowsTheDiluteSolution) {
    // Water: 1.86 K kg/mol (CRC Handbook); ethanol 46.07 g/mol. An ideal solution, so within 0.2 K up to 6 %.
    for (double percent = 1; percent <= 6; percent += 1) {
        const double molality = percent / 46.07 / (100 - percent) * 1000;
        EXPECT_NEAR(freezing_point_c(percent, 0) - freezing_point_c(0, 0), -1.86 * molality, 0.2) << percent;
    }
}

}  // namespace
}  // namespace gyled::brewing
