/// What the gauge of a shut vessel tells of the sugar that is left.

#include "daemon/estimation/gas/rise.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace gyled::estimation::gas {
namespace {

constexpr double points_left[] = {0, 0.25, 0.5, 1, 2, 4, 8};
constexpr double lasts_h = 10;  // at the rate as it is

/// As likely as each other, a batch that slows as its sugar goes.
std::vector<SugarLeft> in_doubt() {
    std::vector<SugarLeft> sugar;
    for (const double points : points_left)
        sugar.push_back({{1.048, 1.010 + points / 1000, 1.010}, 1, points / 1000 / lasts_h});
    return sugar;
}

/// 21.5 L at 18 degC in 26 L, by hand: an ideal gas, a mole of CO2 is 22.26 L at 0 degC and one atmosphere,
/// so that one volume out of each litre of beer makes 8.314 x 291.15 x 21.5 / (22.26 x 4.5) = 520 kPa; the
/// beer holds 0.0089 volumes a kPa (0.90 under one atmosphere).
constexpr double per_volume_kpa = 520;
constexpr Sharing ale{per_volume_kpa, 1 / (1 + 0.0089 * per_volume_kpa), 0.9};
/// A point gives half a volume (0.0052 kg of CO2 out of each litre and per cent of extract; from memory).
constexpr double volumes_per_point = 0.5;

double mean_points(const std::vector<SugarLeft>& sugar) {
    double sum = 0, weights = 0;
    for (const SugarLeft& one : sugar) {
        sum += one.weight * 1000 * (one.drop.from_sg - one.drop.to_sg);
        weights += one.weight;
    }
    return sum / weights;
}

/// A tenth of a point an hour: a point is left. At first all of the gas stands above the beer.
TEST(Rise, TellsWhichSugarIsLeft) {
    const double kpa_per_h = 0.1 * volumes_per_point * per_volume_kpa;
    const auto told =
        sugar_given(in_doubt(), {.kpa_per_h = kpa_per_h, .sigma = 2, .c_per_h = 0, .shut_h = 0.1}, ale);

    EXPECT_NEAR(mean_points(in_doubt()), 2.25, 0.01) << "as likely as each other";
    EXPECT_NEAR(mean_points(told), 1, 0.5);
}

/// Once the beer takes its share the same rise is six times as much gas.
TEST(Rise, CountsWhatTheBeerTakes) {
    const double kpa_per_h = 0.1 * volumes_per_point * per_volume_kpa * ale.settled_share;
    const auto told =
        sugar_given(in_doubt(), {.kpa_per_h = kpa_per_h, .sigma = 0.1, .c_per_h = 0, .shut_h = 24}, ale);

    EXPECT_NEAR(mean_points(told), 1, 0.4);
}

TEST(Rise, AGaugeThatStandsStillLeavesLittle) {
    const auto told =
        sugar_given(in_doubt(), {.kpa_per_h = 0, .sigma = 0.1, .c_per_h = 0, .shut_h = 24}, ale);
    EXPECT_LT(mean_points(told), 0.4);
}

/// A valve that is not quite shut, a zero that is dead: whoever relies on the gauge alone would be wrong.
TEST(Rise, RulesNothingOut) {
    for (const double kpa_per_h : {-500.0, 0.0, 5000.0})
        for (const SugarLeft& one :
             sugar_given(in_doubt(), {.kpa_per_h = kpa_per_h, .sigma = 0.1, .c_per_h = 0, .shut_h = 24}, ale))
            EXPECT_GT(one.weight, 0) << kpa_per_h;
}

/// Beer that is warmed gives gas off, and that which cools takes it up: then the gauge says less of the
/// yeast.
TEST(Rise, SaysLessWhileTheBeerWarms) {
    const auto given = [](double c_per_h) {
        return mean_points(
            sugar_given(in_doubt(), {.kpa_per_h = 0, .sigma = 0.1, .c_per_h = c_per_h, .shut_h = 24}, ale));
    };
    EXPECT_GT(given(-2), given(0) + 0.1);
    EXPECT_GT(given(2), given(0) + 0.1);
}

TEST(Rise, SurvivesNonsense) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    EXPECT_TRUE(sugar_given({}, {1, 1, 0, 1}, ale).empty());
    EXPECT_DOUBLE_EQ(mean_points(sugar_given(in_doubt(), {nan, 1, 0, 1}, ale)), mean_points(in_doubt()));
    EXPECT_DOUBLE_EQ(mean_points(sugar_given(in_doubt(), {1, 1, 0, 1}, {})), mean_points(in_doubt()));
}

}  // namespace
}  // namespace gyled::estimation::gas
