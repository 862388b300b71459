#include "daemon/estimation/thermal_time.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace gyled::estimation {
namespace {

using base::Culture;

/// exp(Ea/R (1/T1 - 1/T2)) for 55 kJ/mol from 10 to 20 degC is 2.218727, for 80 kJ/mol from 18 to 22 degC
/// 1.564982; computed from the Arrhenius equation.
TEST(ThermalTime, FollowsArrhenius) {
    const ThermalTime cold = thermal_speed(Culture::lager, 10.0);
    const ThermalTime warm = thermal_speed(Culture::lager, 20.0);
    EXPECT_NEAR(warm.usual / cold.usual, 2.218727, 1e-3);

    const ThermalTime at_18 = thermal_speed(Culture::ale, 18.0);
    const ThermalTime at_22 = thermal_speed(Culture::ale, 22.0);
    EXPECT_NEAR(at_22.steep / at_18.steep, 1.564982, 1e-3);
}

TEST(ThermalTime, AnHourIsAnHourAtTheReference) {
    for (const Culture culture : {Culture::ale, Culture::lager, Culture::mixed}) {
        const ThermalTime speed = thermal_speed(culture, reference_c(culture));
        EXPECT_NEAR(ThermalMix(55.0, 0.0).at(speed), 1.0, 0.001);
        EXPECT_NEAR(ThermalMix(40.0, 0.0).at(speed), 1.0, 0.001);
    }
}

TEST(ThermalTime, EnergiesBetweenTheThreeAreMixedFromThem) {
    const double speed = ThermalMix(65.0, 0.0).at(thermal_speed(Culture::ale, 16.0));
    const double x = 65000.0 / 8.314462618 * (1.0 / 293.15 - 1.0 / 289.15);
    EXPECT_NEAR(speed, std::exp(x), 0.002);
}

/// Common practice: an ale drops out below 10 degC, a lager works on down to about 4.
TEST(ThermalTime, ColdSendsToSleepEachAtItsOwnTemperature) {
    EXPECT_GT(wakefulness(Culture::ale, 12.0), 0.95);
    EXPECT_LT(wakefulness(Culture::ale, 4.0), 0.02);
    EXPECT_GT(wakefulness(Culture::lager, 9.0), 0.99);
    EXPECT_LT(wakefulness(Culture::lager, 0.5), 0.05);
    EXPECT_LT(ThermalMix(55.0, 0.0).at(thermal_speed(Culture::ale, 2.0)), 0.01);
    EXPECT_GT(ThermalMix(55.0, 1.0).at(thermal_speed(Culture::ale, 2.0)), 0.1)
        << "a culture that never sleeps";
}

TEST(ThermalTime, NeverRunsBackwards) {
    for (double energy = 0.0; energy < 150.0; energy += 5.0)
        for (double celsius = -30.0; celsius < 60.0; celsius += 1.0)
            EXPECT_GE(ThermalMix(energy, 0.0).at(thermal_speed(Culture::ale, celsius)), 0.0);
}

}  // namespace
}  // namespace gyled::estimation
