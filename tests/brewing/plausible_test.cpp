/// What wort and beer can be at all.

#include "daemon/brewing/plausible.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "daemon/brewing/extract.hpp"

namespace gyled::brewing {
namespace {

TEST(Plausible, AGravityLiesBetweenBoneDryAndAWortOfFortyDegreesPlato) {
    EXPECT_TRUE(is_plausible_gravity(0.990)) << "a bone-dry cider (common practice)";
    EXPECT_TRUE(is_plausible_gravity(sg_from_plato(39)));
    EXPECT_FALSE(is_plausible_gravity(sg_from_plato(41)));
    EXPECT_FALSE(is_plausible_gravity(0.789)) << "ethanol (CRC Handbook, 20 degC)";
}

TEST(Plausible, WhatIsSpokenInThousandthsIsUnderstood) {
    ASSERT_TRUE(likely_gravity(1023));
    EXPECT_DOUBLE_EQ(likely_gravity(1023)->sg, 1.023);
    EXPECT_FALSE(likely_gravity(1023)->may_be_plato);
    ASSERT_TRUE(likely_gravity(23));
    EXPECT_DOUBLE_EQ(likely_gravity(23)->sg, 1.023);
    EXPECT_TRUE(likely_gravity(23)->may_be_plato);
}

TEST(Plausible, NothingIsMadeOfNonsense) {
    for (const double odd :
         {-5.0, 0.0, 0.5, 1.9, 400.0, 1e300, std::nan(""), std::numeric_limits<double>::infinity()})
        EXPECT_FALSE(likely_gravity(odd)) << odd;
    EXPECT_FALSE(is_plausible_gravity(std::nan("")));
    EXPECT_FALSE(is_plausible_co2(std::nan("")));
}

}  // namespace
}  // namespace gyled::brewing
