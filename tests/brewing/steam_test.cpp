#include "daemon/brewing/steam.hpp"

#include <gtest/gtest.h>

namespace gyled::brewing {
namespace {

/// From the rows of IAPWS-IF97 in tests/reference/iapws.csv: 84.60894 kPa at 95 degC, 2.33921 at 20.
TEST(SteamThatCondenses, LeavesTheGasAndTheVapourOfTheSteamTables) {
    const Pressure air = base::standard_atmosphere;
    const double with_air = (101.325 - 84.60894) * 293.15 / 368.15 + 2.33921 - 101.325;

    EXPECT_NEAR(pressure_after_condensing({95, air}, 20).kpa_gauge(air), with_air, 0.05);
    EXPECT_NEAR(pressure_after_condensing({100.5, air}, 20).kpa_gauge(air), 2.33921 - 101.325, 0.05)
        << "steam alone";
    EXPECT_NEAR(pressure_after_condensing({95, Pressure::from_kpa_gauge(60, air)}, 20).kpa_gauge(air),
                with_air + 60 * 293.15 / 368.15, 0.05);
}

/// safety.csv, crash_gas_only: sealed at 0 gauge and 20 degC, cooled to 1: -8.10 kPa.
TEST(SteamThatCondenses, IsTheGasLawWhenCold) {
    const Pressure air = base::standard_atmosphere;
    EXPECT_NEAR(pressure_after_condensing({20, air}, 1).kpa_gauge(air), -8.095786, 0.01);
    EXPECT_DOUBLE_EQ(pressure_after_condensing({20, air}, 20).kpa_absolute(), air.kpa_absolute());
    EXPECT_TRUE(std::isnan(pressure_after_condensing({std::nan(""), air}, 20).kpa_absolute()));
}

}  // namespace
}  // namespace gyled::brewing
