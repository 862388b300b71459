/// Are the figures of the table what they are called?

#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "tests/reference/csv.hpp"
#include "tests/simulation/judging/ledger.hpp"
#include "tests/simulation/pressure/judge/chart.hpp"
#include "tests/simulation/pressure/judge/lines.hpp"

namespace gyled::pressure_worlds {
namespace {

using namespace judging;

Answer answer(double low, double high, double truth, const char* world = "one") {
    Answer made{.truth = truth, .world = world};
    made.estimate = base::Estimate{(low + high) / 2, low, high};
    return made;
}

/// Gneiting & Raftery 2007, eq. 43, at alpha = 0.1, by hand: 2; 2 + 20 x 1; 2 + 20 x 0.5.
TEST(PressureLedger, ScoresAnIntervalByItsWidthAndWhatItMisses) {
    EXPECT_DOUBLE_EQ(mean_score({answer(2, 4, 3)}), 2);
    EXPECT_DOUBLE_EQ(mean_score({answer(2, 4, 5)}), 22);
    EXPECT_DOUBLE_EQ(mean_score({answer(2, 4, 1.5)}), 12);
}

TEST(PressureLedger, CountsWhatWasNotKnownAsNotHeld) {
    const std::vector<Answer> answers{answer(2, 4, 3), answer(2, 4, 5), Answer{.truth = 3}, answer(2, 4, 2)};

    EXPECT_DOUBLE_EQ(share_held(answers), 0.5);
    EXPECT_DOUBLE_EQ(mean_width(answers), 2);
    EXPECT_TRUE(std::isinf(median_error({Answer{.truth = 3}})));
}

TEST(PressureLedger, TakesAWorldForOneDrawHoweverOftenItIsLookedAt) {
    std::vector<Answer> answers;
    for (int look = 0; look < 100; ++look) {
        answers.push_back(answer(2, 4, 3, "one"));
        answers.push_back(answer(2, 4, 5, "other"));
    }

    EXPECT_NEAR(error_of_share(answers), std::sqrt(0.5) / 2, 1e-9);  // of two draws, one of each
}

TEST(PressureLedger, SaysOnWhichSideTheTruthLies) {
    const std::vector<Answer> answers{answer(2, 4, 3), answer(2, 4, 5), answer(2, 4, 5), answer(2, 4, 1)};

    EXPECT_DOUBLE_EQ(outside(answers).below, 0.25);
    EXPECT_DOUBLE_EQ(outside(answers).above, 0.5);
    EXPECT_DOUBLE_EQ(median_bias({answer(2, 4, 1), answer(2, 4, 2), answer(2, 4, 5)}), 1);
}

/// Every row of the chart as Miller printed it (BrewingTechniques 2(1) 1994), which a smooth line meets
/// within 0.06.
TEST(PressureLedger, ReadsTheChartAsItIsPrinted) {
    for (const auto& row : reference::read_csv("co2_chart_volumes.csv")) {
        const auto column = [&](const char* name) { return reference::number(row.at(name)); };
        const double kpa = 101.325 + 6.894757 * column("psi_gauge");
        const double celsius = (column("temp_F") - 32) / 1.8;
        EXPECT_NEAR(chart_volumes(kpa, celsius), column("expected_volumes"), 0.06);
        EXPECT_NEAR(chart_kpa(chart_volumes(kpa, celsius), celsius), kpa, 1e-9);
    }
}

TEST(PressureLedger, ComparesWithATableThatWasPrintedBefore) {
    Ledger ledger;
    const Answer looked = answer(2.0, 2.2, 2.1);
    ledger.look("co2_volumes, sealed", &*looked.estimate, looked);
    ledger.note("no such row", {});
    ledger.note("carbonated told within 24 h, purged", {true, 3, "one"});
    std::stringstream printed, compared;

    print(lines_of(ledger), methods, {}, printed);
    const Earlier earlier = read_table(printed);
    print(lines_of(ledger), methods, earlier, compared);

    EXPECT_EQ(earlier.at("co2_volumes, sealed|holds 85 to 95 %"), "100 +-0 %");
    EXPECT_NE(compared.str().find("before"), std::string::npos);
    EXPECT_NE(compared.str().find("| 1 of 1, median 3 h "), std::string::npos) << compared.str();
}

}  // namespace
}  // namespace gyled::pressure_worlds
