/// The steam tables and Henry's constant of the International Association for the Properties of Water and
/// Steam, as an outside library computes them, against the equations that we use.

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "daemon/brewing/brew_day.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/brewing/water.hpp"
#include "tests/reference/csv.hpp"

namespace gyled::reference {
namespace {

using namespace gyled::brewing;

/// Holds `ours` to every row of a quantity between two temperatures, within a share of the value.
int hold(const std::string& quantity, double from_c, double to_c, double share,
         const std::function<double(double)>& ours) {
    int rows = 0;
    for (const CsvRow& row : read_csv("iapws.csv")) {
        const double celsius = number(row.at("temp_C"));
        if (row.at("quantity") != quantity || celsius < from_c || celsius > to_c) continue;
        const double theirs = number(row.at("expected"));
        EXPECT_NEAR(ours(celsius), theirs, share * theirs) << quantity << " at " << celsius << " degC";
        ++rows;
    }
    return rows;
}

TEST(SteamTables, HoldTheSaturationPressure) {
    EXPECT_EQ(hold("saturation_pressure", 0, 130, 1e-4,
                   [](double t) { return saturation_pressure(t).kpa_absolute(); }),
              14);
    // The cheap form of the gas sums is for the cold side.
    EXPECT_GE(
        hold("saturation_pressure", 0, 40, 0.002, [](double t) { return vapour_pressure(t).kpa_absolute(); }),
        5);
}

TEST(SteamTables, HoldTheDensityOfWater) {
    EXPECT_GE(hold("density_liquid_1_atm", 0, 40, 2e-5, [](double t) { return water_density(t); }), 7);
    EXPECT_EQ(hold("density_liquid_1_atm", 0, 100, 2e-5, [](double t) { return water_density_kell(t); }), 11);
}

/// One figure for all of brew day: right within 0.5 % from cold liquor to the boil.
TEST(SteamTables, HoldTheSpecificHeatOfWater) {
    EXPECT_GE(
        hold("specific_heat_liquid", 5, 100, 0.0075, [](double) { return water_specific_heat_kj_per_kg_k; }),
        10);
}

/// Weiss measured near 0 to 30 degC; IAPWS G7-04 spans 0 to 360 degC and is 4.6 % higher at the ice point.
/// From 20 degC on Weiss is within 1 %.
TEST(HenrysConstant, IsThatOfTheSteamAssociationWithinTheSpreadOfTheSources) {
    const auto weiss_mpa = [](double t) {
        const double water_mol_per_litre = water_density_kell(t) / 18.01528;  // g/mol
        return water_mol_per_litre / k0_mol_per_litre_atm(t) * 0.101325;      // MPa per atm
    };
    EXPECT_EQ(hold("henry_co2_in_water", 0, 60, 0.047, weiss_mpa), 9);
    EXPECT_EQ(hold("henry_co2_in_water", 20, 60, 0.010, weiss_mpa), 5);
}

}  // namespace
}  // namespace gyled::reference
