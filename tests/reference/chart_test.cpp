/// The carbonation chart as it was printed, against the models that stand for it.

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/solubility.hpp"
#include "tests/reference/csv.hpp"

namespace gyled::reference {
namespace {

using namespace gyled::base;
using namespace gyled::brewing;

Pressure at_sea_level(double psi_gauge) {
    return Pressure::from_kpa_gauge(kpa_from_psi(psi_gauge), standard_atmosphere);
}

/// Differences over a table: how large, and which way.
struct Spread {
    double sum = 0;
    double squares = 0;
    double largest = 0;
    int count = 0;
    void add(double difference) {
        sum += difference;
        squares += difference * difference;
        largest = std::max(largest, std::abs(difference));
        ++count;
    }
    [[nodiscard]] double mean() const { return sum / count; }
    [[nodiscard]] double rms() const { return std::sqrt(squares / count); }
};

TEST(CarbonationChart, EveryPointIsReproducedByTheRegression) {
    Spread volumes;
    Spread psi;
    for (const CsvRow& row : read_csv("co2_chart_volumes.csv")) {
        const double celsius = celsius_from_fahrenheit(number(row.at("temp_F")));
        const Pressure pressure = at_sea_level(number(row.at("psi_gauge")));
        const double printed = number(row.at("expected_volumes"));
        SCOPED_TRACE(row.at("temp_F") + " degF, " + row.at("psi_gauge") + " psi, " + row.at("source"));

        EXPECT_NEAR(chart_volumes(celsius, pressure), printed, number(row.at("tolerance")));
        volumes.add(chart_volumes(celsius, pressure) - printed);
        psi.add(psi_from_kpa(chart_pressure(celsius, printed).kpa_absolute() - pressure.kpa_absolute()));
    }

    EXPECT_EQ(volumes.count, 292);
    EXPECT_LT(volumes.rms(), 0.0095);
    EXPECT_LT(psi.rms(), 0.105);
    EXPECT_LT(psi.largest, 0.40);
}

/// The beer factor is the chart over water, and the model with it stays within 0.1 volume of every point.
TEST(CarbonationChart, GivesTheBeerFactor) {
    Spread ratio;
    Spread volumes;
    for (const CsvRow& row : read_csv("co2_chart_volumes.csv")) {
        if (number(row.at("temp_F")) < 32) continue;
        const double celsius = celsius_from_fahrenheit(number(row.at("temp_F")));
        const Pressure pressure = at_sea_level(number(row.at("psi_gauge")));
        const double printed = number(row.at("expected_volumes"));
        ratio.add(printed / volumes_in_water(celsius, pressure));
        volumes.add(volumes_in_beer(celsius, pressure) - printed);
    }
    EXPECT_NEAR(ratio.mean(), beer_factor_typical, 0.002);
    EXPECT_LT(volumes.largest, 0.1);
}

}  // namespace
}  // namespace gyled::reference
