#include "daemon/brewing/water.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/hydrometer.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

TEST(Water, IsDensestNearFourDegrees) {
    for (double t = 4.0; t < 40; t += 0.5) EXPECT_GT(water_density(t), water_density(t + 0.5));
    for (double t = 0.0; t < 3.9; t += 0.1) EXPECT_LT(water_density(t), water_density(t + 0.05));
    EXPECT_DOUBLE_EQ(water_density(3.983035), 999.974950);
}

/// Two fits by two groups to two sets of measurements.
TEST(Water, HasOneDensityWhoeverMeasuresIt) {
    for (double t = 5; t <= 40; t += 1) {
        EXPECT_NEAR(water_density(t), water_density_kell(t), 0.005) << t;
    }
}

TEST(Water, BoilsWhereTheGnuScientificLibraryFindsIt) {
    for (double kpa = 1; kpa < 1000; kpa *= 1.3) {
        const double root =
            gsl_root([kpa](double t) { return saturation_pressure(t).kpa_absolute() - kpa; }, 0, 250);
        EXPECT_NEAR(boiling_point_c(Pressure::from_kpa_absolute(kpa)), root, 1e-8) << kpa;
    }
}

/// The trade reckons that wort shrinks by 4 % from the boil to the fermenter (common practice).
TEST(Water, ShrinksAsItCools) {
    EXPECT_NEAR(litres_at(25, 100, 20), 24, 0.05);
    EXPECT_NEAR(litres_at(litres_at(25, 66, 20), 20, 66), 25, 1e-12);
    EXPECT_TRUE(std::isnan(litres_at(25, nan_value, 20)));
}

TEST(Water, BoilsBackAndForth) {
    for (double t = 0.5; t < 365; t += 2.5) EXPECT_NEAR(boiling_point_c(saturation_pressure(t)), t, 1e-8);
}

TEST(Water, DoesNotBoilInNonsense) {
    for (const double kpa : {nan_value, -5.0, 0.0, 0.1, 1e9, std::numeric_limits<double>::infinity()})
        EXPECT_TRUE(std::isnan(boiling_point_c(Pressure::from_kpa_absolute(kpa)))) << kpa;
}

TEST(Water, HasTheSameVapourPressureByBothEquations) {
    for (double t = 0; t <= 30; t += 1)
        EXPECT_NEAR(vapour_pressure(t).kpa_absolute(), saturation_pressure(t).kpa_absolute(), 0.01) << t;
    for (double t = -5; t < 120; t += 1) {
        EXPECT_LT(saturation_pressure(t), saturation_pressure(t + 1));
        EXPECT_LT(vapour_pressure(t), vapour_pressure(t + 1));
    }
}

TEST(Water, PassesNanOn) {
    EXPECT_TRUE(std::isnan(water_density(nan_value)));
    EXPECT_TRUE(std::isnan(water_density_kell(nan_value)));
    EXPECT_TRUE(std::isnan(saturation_pressure(nan_value).kpa_absolute()));
    EXPECT_TRUE(std::isnan(saturation_pressure(400).kpa_absolute()));
    EXPECT_TRUE(std::isnan(vapour_pressure(nan_value).kpa_absolute()));
}

TEST(Hydrometer, IsRightAtItsOwnTemperature) {
    for (const double sg : {0.998, 1.010, 1.050, 1.100}) {
        EXPECT_DOUBLE_EQ(sg_from_hydrometer({.sg = sg, .sample_c = 20}), sg);
        // A stem for 15.56 degC reads low in its own terms: water there is denser than at 20.
        EXPECT_NEAR(sg_from_hydrometer({.sg = sg, .sample_c = 15.56, .calibrated_at_c = 15.56}), sg, 1e-12);
    }
}

TEST(Hydrometer, ReadsLowInWarmBeer) {
    for (double t = 8; t < 40; t += 1)
        EXPECT_LT(sg_from_hydrometer({.sg = 1.050, .sample_c = t}),
                  sg_from_hydrometer({.sg = 1.050, .sample_c = t + 1}));
    EXPECT_LT(sg_from_hydrometer({.sg = 1.050, .sample_c = 10}), 1.050);
    EXPECT_GT(sg_from_hydrometer({.sg = 1.050, .sample_c = 30}), 1.050);
}

TEST(Hydrometer, RefusesHotSamplesAndNonsense) {
    EXPECT_FALSE(std::isnan(sg_from_hydrometer({.sg = 1.050, .sample_c = 40})));
    EXPECT_FALSE(std::isnan(sg_from_hydrometer({.sg = 1.050, .sample_c = 0})));
    for (const HydrometerReading read :
         {HydrometerReading{1.050, 40.1}, HydrometerReading{1.050, 66}, HydrometerReading{1.050, -0.1},
          HydrometerReading{1.050, nan_value}, HydrometerReading{nan_value, 20}, HydrometerReading{0, 20},
          HydrometerReading{-1.05, 20}, HydrometerReading{1.050, 20, nan_value}})
        EXPECT_TRUE(std::isnan(sg_from_hydrometer(read))) << read.sg << " at " << read.sample_c;
}

}  // namespace
}  // namespace gyled::brewing
