#include "daemon/brewing/refractometer.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
namespace {

/// What a refractometer shows of a beer, degrees Brix, by the refractive index that belongs to its gravity
/// and real extract: RE = 194.5935 + 129.8 SG + n (410.8815 n - 790.8732), n at 20 degC, the refractometric
/// method of beer analysis (from memory); n to Brix by sucrose 1.33299, 1.34026 and 1.34782 at 0, 5 and 10 %
/// (ICUMSA, from memory).
double brix_seen(double original_plato, double apparent_plato) {
    const Extracts beer{original_plato, apparent_plato};
    const double a = 410.8815, b = -790.8732;
    const double c = 194.5935 + 129.8 * sg_from_plato(apparent_plato) - real_extract_plato(beer);
    const double index = (-b + std::sqrt(b * b - 4 * a * c)) / (2 * a);
    return index < 1.34026 ? (index - 1.33299) / (1.34026 - 1.33299) * 5
                           : 5 + (index - 1.34026) / (1.34782 - 1.34026) * 5;
}

TEST(Refractometer, SeesBeerAsTheRefractometricMethodDoes) {
    for (double original = 9; original <= 16; original += 1)
        for (double share = 0.5; share <= 0.85; share += 0.05) {
            const double apparent = original * (1 - share);
            EXPECT_NEAR(sg_from_plato(apparent_plato_of_beer(brix_seen(original, apparent), original)),
                        sg_from_plato(apparent), refractometer_doubt_sg)
                << original << " degP, " << share;
        }
}

/// Terrill 2011, a straight line through 68 finished beers of eight brewers and instruments, measured with
/// both: SG = 1.0000 - 0.00085683 i + 0.0034941 f, first and last reading over 1.04.
TEST(Refractometer, AgreesWithBeersMeasuredBothWays) {
    for (double original = 10; original <= 16; original += 1)
        for (double last = 0.44 * original; last <= 0.52 * original; last += 0.04 * original)
            EXPECT_NEAR(sg_from_plato(apparent_plato_of_beer(1.04 * last, original)),
                        1.0 - 0.00085683 * original + 0.0034941 * last, refractometer_doubt_sg)
                << original << " degP, then " << last;
}

TEST(Refractometer, ShowsWortAsItIsUntilItFerments) {
    EXPECT_NEAR(plato_of_wort(12.48), 12.0, 1e-12);
    for (double original = 5; original < 20; original += 1) {
        EXPECT_NEAR(apparent_plato_of_beer(1.04 * original, original), original, 1e-9);
        EXPECT_LT(apparent_plato_of_beer(0.8 * original, original),
                  apparent_plato_of_beer(0.9 * original, original));
        EXPECT_LT(apparent_plato_of_beer(0.6 * original, original), plato_of_wort(0.6 * original))
            << "uncorrected it shows too much";
    }
    EXPECT_TRUE(std::isnan(plato_of_wort(nan_value)));
    EXPECT_TRUE(std::isnan(apparent_plato_of_beer(nan_value, 12)));
    EXPECT_TRUE(std::isnan(apparent_plato_of_beer(6, nan_value)));
}

}  // namespace
}  // namespace gyled::brewing
