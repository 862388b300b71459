#include "daemon/brewing/solubility.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/atmosphere.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

constexpr Pressure atm = standard_atmosphere;

Pressure absolute(double kpa) {
    return Pressure::from_kpa_absolute(kpa);
}
Pressure sea_level_psi(double psi) {
    return Pressure::from_kpa_gauge(kpa_from_psi(psi), atm);
}

TEST(CarbonDioxide, IsNearlyIdealAndLessSoUnderPressure) {
    for (double t = 0; t <= 30; t += 5) {
        EXPECT_NEAR(compressibility(t, absolute(0)), 1.0, 1e-15);
        for (double kpa = 50; kpa <= 400; kpa += 50) {
            EXPECT_LT(compressibility(t, absolute(kpa)), compressibility(t, absolute(kpa - 50)));
            EXPECT_GT(compressibility(t, absolute(kpa)), 0.97);
            EXPECT_NEAR(fugacity_coefficient(t, absolute(kpa)), compressibility(t, absolute(kpa)), 5e-4);
        }
    }
    EXPECT_NEAR(normal_molar_volume, 22.264, 0.0005);
    for (double v = 0; v < 5; v += 0.3)
        EXPECT_NEAR(volumes_from_co2_g_per_litre(co2_g_per_litre_from_volumes(v)), v, 1e-14);
}

/// Sander's compilation (Atmos. Chem. Phys. 23 (2023) 10901) lists 3.3e-4 to 3.4e-4 mol/(m3 Pa) at 25 degC,
/// falling by 2300 to 2400 K in 1/T.
TEST(Solubility, LiesWithinTheCompiledRange) {
    const auto henry = [](double t) { return k0_mol_per_litre_atm(t) * 1000 / 101325; };
    EXPECT_GE(henry(25), 3.3e-4);
    EXPECT_LE(henry(25), 3.4e-4);
    const double slope = std::log(henry(20) / henry(30)) / (1 / kelvin(20) - 1 / kelvin(30));
    EXPECT_GT(slope, 2250);
    EXPECT_LT(slope, 2450);
}

TEST(Solubility, FallsWithWarmthAndRisesWithPressure) {
    for (double t = 0; t < 35; t += 1) {
        for (double kpa = 60; kpa <= 500; kpa += 20) {
            EXPECT_GT(volumes_in_beer(t, absolute(kpa)), volumes_in_beer(t + 1, absolute(kpa)));
            EXPECT_LT(volumes_in_beer(t, absolute(kpa)), volumes_in_beer(t, absolute(kpa + 20)));
            EXPECT_LT(volumes_in_beer(t, absolute(kpa), beer_factor_low), volumes_in_beer(t, absolute(kpa)));
            EXPECT_LE(volumes_in_beer(t, absolute(kpa), beer_factor_high),
                      volumes_in_water(t, absolute(kpa)));
        }
    }
}

TEST(Solubility, HasNothingToDissolveInAVacuum) {
    EXPECT_EQ(volumes_in_beer(20, absolute(0)), 0);
    EXPECT_EQ(volumes_in_beer(20, vapour_pressure(20)), 0);
    EXPECT_EQ(volumes_in_beer(20, absolute(-50)), 0);
}

TEST(PressureForVolumes, IsTheInverse) {
    for (double t = -1; t <= 40; t += 1) {
        for (double volumes = 0; volumes <= 6; volumes += 0.2) {
            for (const double factor : {0.90, 0.95, 1.0})
                EXPECT_NEAR(volumes_in_beer(t, pressure_for_volumes(t, volumes, factor), factor), volumes,
                            1e-12);
        }
    }
}

TEST(PressureForVolumes, IsWhereTheGnuScientificLibraryFindsIt) {
    for (double t = 0; t <= 30; t += 3) {
        for (double volumes = 0.5; volumes <= 5; volumes += 0.5) {
            const double root =
                gsl_root([&](double kpa) { return volumes_in_beer(t, absolute(kpa)) - volumes; }, 1, 3000);
            EXPECT_NEAR(pressure_for_volumes(t, volumes).kpa_absolute(), root, 1e-9) << t << ", " << volumes;
        }
    }
}

TEST(PressureForVolumes, RefusesWhatNoPressureGives) {
    EXPECT_TRUE(std::isnan(pressure_for_volumes(10, -0.1).kpa_absolute()));
    EXPECT_TRUE(std::isnan(pressure_for_volumes(10, 1000).kpa_absolute()));
    EXPECT_TRUE(std::isnan(pressure_for_volumes(10, nan_value).kpa_absolute()));
    EXPECT_TRUE(std::isnan(pressure_for_volumes(nan_value, 2).kpa_absolute()));
    EXPECT_TRUE(std::isnan(pressure_for_volumes(-300, 2).kpa_absolute()));
    EXPECT_TRUE(std::isnan(pressure_for_volumes(10, 2, 0).kpa_absolute()));
    EXPECT_DOUBLE_EQ(pressure_for_volumes(10, 0).kpa_absolute(), vapour_pressure(10).kpa_absolute());
}

/// Miller 1994 beside his chart: 38 degF and 12 psi give 2.57 volumes.
TEST(Chart, GivesItsOwnExample) {
    EXPECT_NEAR(chart_volumes(celsius_from_fahrenheit(38), sea_level_psi(12)), 2.57, 0.02);
}

TEST(Chart, RoundTrips) {
    for (double t = 0; t <= 15.5; t += 0.5) {
        for (double volumes = 1.7; volumes <= 3.3; volumes += 0.1) {
            EXPECT_NEAR(chart_volumes(t, chart_pressure(t, volumes)), volumes, 1e-10);
        }
    }
    EXPECT_TRUE(std::isnan(chart_volumes(5, absolute(1e7)))) << "beyond where the parabola turns";
}

/// The same gauge pressure on a mountain carbonates less; the shift makes it equal.
TEST(Altitude, IsAMatterOfAbsolutePressure) {
    const Pressure mountain = atmosphere_at(1500);
    const double chart_gauge = 80;
    EXPECT_LT(volumes_in_beer(4, Pressure::from_kpa_gauge(chart_gauge, mountain)),
              volumes_in_beer(4, Pressure::from_kpa_gauge(chart_gauge, atm)));
    EXPECT_NEAR(
        volumes_in_beer(4, Pressure::from_kpa_gauge(chart_gauge + gauge_shift_kpa(mountain), mountain)),
        volumes_in_beer(4, Pressure::from_kpa_gauge(chart_gauge, atm)), 1e-12);
}

TEST(Solubility, PassesNanOn) {
    EXPECT_TRUE(std::isnan(k0_mol_per_litre_atm(nan_value)));
    for (const auto f : {volumes_in_water, chart_volumes, co2_partial_kpa, fugacity_coefficient}) {
        EXPECT_TRUE(std::isnan(f(nan_value, atm)));
        EXPECT_TRUE(std::isnan(f(4, absolute(nan_value))));
    }
    EXPECT_TRUE(std::isnan(volumes_in_beer(4, atm, nan_value)));
    EXPECT_TRUE(std::isnan(residual_volumes(nan_value)));
    EXPECT_TRUE(std::isnan(chart_pressure(nan_value, 2).kpa_absolute()));
}

}  // namespace
}  // namespace gyled::brewing
