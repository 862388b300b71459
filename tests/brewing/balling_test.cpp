#include "daemon/brewing/balling.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/freezing.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

TEST(Balling, MakesNothingOfNothing) {
    for (double original = 1; original < 25; original += 1) {
        const Extracts untouched{original, original};
        EXPECT_NEAR(alcohol_by_weight_percent(untouched), 0, 1e-12);
        EXPECT_NEAR(apparent_attenuation_percent(untouched), 0, 1e-12);
        EXPECT_NEAR(real_attenuation_percent(untouched), 0, 1e-12);
        EXPECT_NEAR(co2_evolved_g_per_litre_wort(untouched), 0, 1e-12);
    }
    EXPECT_NEAR(alcohol_by_volume_percent({1.05, 1.05}), 0, 1e-12);
    EXPECT_NEAR(co2_volumes_from_drop({1.05, 1.02, 1.02}), 0, 1e-12);
}

TEST(Balling, MakesMoreOfMore) {
    for (double apparent = 14; apparent > -1; apparent -= 0.5) {
        const Extracts before{15, apparent};
        const Extracts after{15, apparent - 0.5};
        EXPECT_LT(alcohol_by_weight_percent(before), alcohol_by_weight_percent(after));
        EXPECT_LT(apparent_attenuation_percent(before), apparent_attenuation_percent(after));
        EXPECT_LT(real_attenuation_percent(before), real_attenuation_percent(after));
        EXPECT_LT(co2_evolved_g_per_litre_wort(before), co2_evolved_g_per_litre_wort(after));
        EXPECT_GT(real_extract_plato(before), before.apparent_plato) << "alcohol hides extract";
    }
}

TEST(Balling, FindsTheWortThatABeerCameFrom) {
    for (double original = 6; original <= 24; original += 1) {
        for (double apparent = 0; apparent <= original; apparent += 0.7) {
            const Extracts beer{original, apparent};
            EXPECT_NEAR(original_extract_plato(alcohol_by_weight_percent(beer), apparent), original, 1e-9);
        }
    }
}

/// What goes in comes out: 2.0665 g of extract are 1 g ethanol, 0.9565 g of gas and 0.11 g of yeast.
TEST(Balling, LosesNoMass) {
    constexpr double extract_g = 2.0665, yeast_g = 0.11;
    EXPECT_NEAR(0.1808 + real_per_apparent_drop, 1.0, 1e-12);
    for (double original = 8; original <= 20; original += 2) {
        const Extracts beer{original, 2.5};
        const double ethanol_g = co2_evolved_g_per_litre_wort(beer) / balling_co2_g;
        const double wort_g = sg_from_plato(original) * water_density_at_20_c;
        const double beer_g = wort_g - ethanol_g * (balling_co2_g + yeast_g);
        const double extract_left_g = wort_g * original / 100 - ethanol_g * extract_g;
        EXPECT_NEAR(ethanol_g / beer_g * 100, alcohol_by_weight_percent(beer), 1e-3);
        EXPECT_NEAR(extract_left_g / beer_g * 100, real_extract_plato(beer), 2e-3);
    }
}

/// Cutaia, Reid and Speers 2009, Table VI, from 532 brews of 9.4 to 18 degrees Plato: ethanol per degree of
/// real extract is 0.459 + 0.00469 original, standard error 0.015.
TEST(Balling, StaysWithinTheScatterOf532Brews) {
    for (double original = 10; original <= 18; original += 1)
        EXPECT_NEAR(ethanol_per_real_extract(original), 0.459 + 0.00469 * original, 0.015);
}

/// The five groups of the same 532 brews, Table III (original, apparent, real extract, degrees Plato; rows
/// brews_re_* of tests/reference/balling.csv): Balling's line lies below all of them.
TEST(Balling, ReadsTheRealExtractOfBrewsWithoutABias) {
    constexpr double groups[][3] = {{14.08, 3.11, 5.28},
                                    {14.54, 2.53, 4.88},
                                    {17.67, 2.45, 5.38},
                                    {11.34, 2.01, 3.80},
                                    {12.75, 2.79, 4.74}};
    double bias = 0;
    for (const auto& [original, apparent, real] : groups) {
        EXPECT_LT(real_extract_plato({original, apparent}), real - 0.09);
        EXPECT_NEAR(real_extract_of_brews_plato({original, apparent}), real, 0.075);
        bias += (real_extract_of_brews_plato({original, apparent}) - real) / 5;
    }
    EXPECT_NEAR(bias, 0, 0.03);
    EXPECT_NEAR(real_attenuation_percent(Extracts{12, 2.5}),
                real_attenuation_percent(RealExtracts{12, real_extract_of_brews_plato({12, 2.5})}), 1e-9);
}

TEST(Balling, AddsUpOverAFermentation) {
    double in_steps = 0;
    for (int step = 0; step < 40; ++step)
        in_steps += co2_volumes_from_drop({1.050, 1.050 - 0.001 * step, 1.050 - 0.001 * (step + 1)});
    // Each step is counted per litre of beer at its own beginning; those litres shrink by 3 % on the way.
    EXPECT_NEAR(in_steps, co2_volumes_from_drop({1.050, 1.050, 1.010}), 0.04 * in_steps);
    EXPECT_GT(in_steps, 0.45 * 40);
    EXPECT_LT(in_steps, 0.55 * 40);
    EXPECT_LT(co2_volumes_from_drop({1.050, 1.010, 1.012}), 0);
    EXPECT_NEAR(volumes_from_co2_g_per_litre(co2_evolved_g_per_litre_wort(extracts_from({1.050, 1.010}))),
                co2_volumes_from_drop({1.050, 1.050, 1.010}), 0.02);
}

TEST(Balling, AllowsBeerLighterThanWater) {
    const Gravities dry{1.050, 0.998};
    EXPECT_GT(apparent_attenuation_percent(extracts_from(dry)), 100);
    EXPECT_LT(real_attenuation_percent(extracts_from(dry)), 100);
    EXPECT_GT(alcohol_by_volume_percent(dry), alcohol_by_volume_percent({1.050, 1.000}));
}

TEST(Balling, PassesNanOn) {
    for (const Extracts beer : {Extracts{nan_value, 2}, Extracts{12, nan_value}}) {
        EXPECT_TRUE(std::isnan(real_extract_plato(beer)));
        EXPECT_TRUE(std::isnan(alcohol_by_weight_percent(beer)));
        EXPECT_TRUE(std::isnan(apparent_attenuation_percent(beer)));
        EXPECT_TRUE(std::isnan(real_attenuation_percent(beer)));
        EXPECT_TRUE(std::isnan(co2_evolved_g_per_litre_wort(beer)));
    }
    for (const Gravities beer : {Gravities{nan_value, 1.01}, Gravities{1.05, nan_value}}) {
        EXPECT_TRUE(std::isnan(alcohol_by_volume_percent(beer)));
        EXPECT_TRUE(std::isnan(co2_volumes_from_drop({beer.original_sg, beer.present_sg, 1.0})));
    }
    EXPECT_TRUE(std::isnan(apparent_attenuation_percent({0, 0}))) << "water does not ferment";
}

}  // namespace
}  // namespace gyled::brewing
