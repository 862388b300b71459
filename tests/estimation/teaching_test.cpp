/// What several batches of one culture taught, put together.

#include "daemon/estimation/gravity/teaching.hpp"

#include <gtest/gtest.h>

#include "daemon/estimation/gravity/priors.hpp"

namespace gyled::estimation {
namespace {

/// Every parameter of every family with this mean and variance, none correlated.
LearnedCurve curve(int batches, double mean, double variance) {
    gravity::LearnedFamilies families;
    for (gravity::LearnedFamily& family : families) {
        family.chance = 1.0 / gravity::families;
        family.mean.setConstant(mean);
        family.covariance.setZero();
        family.covariance.diagonal().setConstant(variance);
    }
    return packed(families, batches);
}
double mean_of(const LearnedCurve& curve) {
    return gravity::unpacked(curve).back().mean[gravity::index::energy];
}
double variance_of(const LearnedCurve& curve) {
    return gravity::unpacked(curve).back().covariance(0, 0);
}

TEST(Teaching, OfOneBatchAfterTheOtherIsWhatTheLastOneFound) {
    EXPECT_EQ(joined(std::nullopt, std::nullopt, curve(1, 3, 1)), curve(1, 3, 1));
    EXPECT_EQ(joined(curve(4, 9, 1), curve(4, 9, 1), curve(5, 3, 1)), curve(5, 3, 1));
}

TEST(Teaching, OfBatchesSideBySideIsTheirCovarianceIntersection) {
    const LearnedCurve both = joined(curve(1, 2, 1.0), std::nullopt, curve(1, 5, 0.25));

    // By hand, w = 1/2: precision 0.5 / 1 + 0.5 / 0.25 = 2.5; mean (0.5 * 2 + 2 * 5) / 2.5.
    EXPECT_EQ(both.batches, 2);
    EXPECT_NEAR(mean_of(both), 4.4, 1e-12);
    EXPECT_NEAR(variance_of(both), 0.4, 1e-12);
    EXPECT_NEAR(both.covariance[1], 0, 1e-12);
}

TEST(Teaching, TwoThatAgreeAreNotSurerThanOne) {
    const LearnedCurve both = joined(curve(3, 2, 0.5), curve(2, 9, 1), curve(3, 2, 0.5));

    EXPECT_NEAR(variance_of(both), 0.5, 1e-12) << "they may have it from their common prior";
    EXPECT_EQ(both.batches, 4);
}

TEST(Teaching, EachBatchHasTheSameWeight) {
    const LearnedCurve three = joined(curve(2, 0, 1), std::nullopt, curve(1, 3, 1));

    EXPECT_NEAR(mean_of(three), 1, 1e-12) << "two taught 0 and one 3";
}

TEST(Teaching, OfAnotherEditionIsReplaced) {
    LearnedCurve old = curve(7, 2, 1);
    old.edition = gravity::learned_edition - 1;

    EXPECT_EQ(joined(old, std::nullopt, curve(1, 5, 1)), curve(1, 5, 1));
}

}  // namespace
}  // namespace gyled::estimation
