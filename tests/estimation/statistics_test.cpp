#include <gtest/gtest.h>

#include <boost/math/statistics/linear_regression.hpp>
#include <cmath>
#include <numeric>

#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/statistics/random.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::statistics {
namespace {

/// The published sequence of SplitMix64 for the seed 1234567 (from memory; it is printed in many places).
TEST(Random, IsSplitMix64) {
    Random random{1234567};
    EXPECT_EQ(random.next(), 6457827717110365317ULL);
    EXPECT_EQ(random.next(), 3203168211198807973ULL);
    EXPECT_EQ(random.next(), 9817491932198370423ULL);
}

TEST(Random, NormalHasTheMomentsOfANormal) {
    Random random{1};
    double sum = 0, squares = 0, fourths = 0;
    constexpr int n = 100'000;
    for (int i = 0; i < n; ++i) {
        const double z = random.normal();
        sum += z;
        squares += z * z;
        fourths += z * z * z * z;
    }
    EXPECT_NEAR(sum / n, 0, 0.015);
    EXPECT_NEAR(squares / n, 1, 0.02);
    EXPECT_NEAR(fourths / n, 3, 0.15);
}

TEST(WeightedSample, QuantilesCountWeightNotMembers) {
    std::vector<Weighted> sample{{3, 1}, {1, 8}, {2, 1}};
    EXPECT_EQ(quantile(sample, 0.5), 1);
    EXPECT_EQ(quantile(sample, 0.85), 2);
    EXPECT_EQ(quantile(sample, 0.95), 3);
    EXPECT_EQ(quantile(sample, 0), 1);
}

/// 90 % of a normal lies within 1.645 sigmas of its mean (any table of the normal distribution).
TEST(WeightedSample, IntervalsOfANormalAreThoseOfTheTable) {
    Random random{2};
    std::vector<Weighted> sample;
    for (int i = 0; i < 100'000; ++i) sample.push_back({10 + 2 * random.normal(), 0.5});
    const base::Estimate estimate = median_and_90_percent(sample);
    EXPECT_NEAR(estimate.value, 10, 0.03);
    EXPECT_NEAR(estimate.low, 10 - 1.645 * 2, 0.05);
    EXPECT_NEAR(estimate.high, 10 + 1.645 * 2, 0.05);
    EXPECT_NEAR(sigma_of(estimate), 2, 0.03);
}

TEST(WeightedSample, EffectiveSizeIsTheNumberWhenEqualAndOneWhenOneHasAll) {
    EXPECT_DOUBLE_EQ(effective_size(std::vector{0.2, 0.2, 0.2, 0.2}), 4);
    EXPECT_DOUBLE_EQ(effective_size(std::vector{0.0, 7.0, 0.0}), 1);
}

TEST(WeightedSample, ResamplingDrawsEachAsOftenAsItsWeightWithinOne) {
    Random random{3};
    for (int round = 0; round < 100; ++round) {
        std::vector<double> weights(50);
        for (double& w : weights) w = random.fraction() * random.fraction();
        const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
        std::vector<double> drawn(weights.size(), 0.0);
        const auto chosen = systematic_resample(weights, random.fraction());
        ASSERT_EQ(chosen.size(), weights.size());
        for (const std::size_t i : chosen) drawn[i] += 1;
        for (std::size_t i = 0; i < weights.size(); ++i)
            EXPECT_LT(std::abs(drawn[i] - 50 * weights[i] / total), 1.0 + 1e-9);
    }
}

TEST(WeightedSample, WeightsFromLogsSurviveAnyScale) {
    const auto weights = weights_from_logs(std::vector{-5000.0, -5001.0});
    EXPECT_DOUBLE_EQ(weights[0], 1);
    EXPECT_NEAR(weights[1], std::exp(-1), 1e-12);
}

TEST(Line, IsTheOneThatBoostFits) {
    Random random{4};
    std::vector<double> x, y;
    for (int i = 0; i < 40; ++i) {
        x.push_back(i + random.fraction());
        y.push_back(3 - 0.25 * x.back() + random.normal());
    }
    const auto [level, slope] = boost::math::statistics::simple_ordinary_least_squares(x, y);
    const auto line = fit_line(x, y);
    ASSERT_TRUE(line);
    EXPECT_NEAR(line->slope, slope, 1e-9);
    EXPECT_NEAR(line->level, level, 1e-9);
    double squares = 0;
    for (std::size_t i = 0; i < x.size(); ++i) squares += std::pow(y[i] - line->at(x[i]), 2);
    EXPECT_NEAR(line->squares, squares, 1e-9);
}

TEST(Line, AWeightOfTwoIsThePointTwice) {
    const std::vector<double> x{0, 1, 2, 2}, y{1, 3, 2, 2};
    const auto twice = fit_line(x, y);
    const std::vector<double> weights{1, 1, 2};
    const auto weighted = fit_line(std::span{x}.first(3), std::span{y}.first(3), weights);
    ASSERT_TRUE(twice && weighted);
    EXPECT_NEAR(twice->slope, weighted->slope, 1e-12);
    EXPECT_NEAR(twice->spread, weighted->spread, 1e-12);
}

TEST(Line, NeedsThreePointsThatDiffer) {
    EXPECT_FALSE(fit_line(std::vector{0.0, 1.0}, std::vector{0.0, 1.0}));
    EXPECT_FALSE(fit_line(std::vector{2.0, 2.0, 2.0}, std::vector{0.0, 1.0, 2.0}));
}

TEST(Median, IsTheMiddleOrTheMeanOfTheTwo) {
    EXPECT_EQ(median({5, 1, 3}), 3);
    EXPECT_EQ(median({5, 1, 3, 4}), 3.5);
}

}  // namespace
}  // namespace gyled::estimation::statistics
