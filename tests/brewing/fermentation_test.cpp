#include "daemon/brewing/fermentation.hpp"

#include <gsl/gsl_odeiv2.h>
#include <gtest/gtest.h>

#include <cmath>

#include "daemon/brewing/dissolution.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

/// Common practice: a Q10 of 2 to 3.
TEST(RateFactor, DoublesOrTriplesInTenDegrees) {
    EXPECT_GT(rate_factor_arrhenius(55, 10, 20), 2.0);
    EXPECT_LT(rate_factor_arrhenius(80, 10, 20), 3.3);
}

TEST(RateFactor, IsOneAtHomeAndReverses) {
    for (double t = 2; t < 30; t += 3) {
        EXPECT_DOUBLE_EQ(rate_factor_arrhenius(55, t, t), 1);
        EXPECT_NEAR(rate_factor_arrhenius(55, t, 20) * rate_factor_arrhenius(55, 20, t), 1, 1e-12);
    }
    EXPECT_TRUE(std::isnan(rate_factor_arrhenius(55, 10, nan_value)));
}

/// dC/dt = kLa (C* - C), integrated step by step by GSL.
TEST(Dissolution, SolvesItsOwnEquation) {
    double parameters[] = {0.25, 2.5};
    gsl_odeiv2_system system{[](double, const double c[], double dcdt[], void* p) {
                                 const double* k = static_cast<const double*>(p);
                                 dcdt[0] = k[0] * (k[1] - c[0]);
                                 return static_cast<int>(GSL_SUCCESS);
                             },
                             nullptr, 1, parameters};
    gsl_odeiv2_driver* driver =
        gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1e-3, 1e-12, 1e-12);
    double t = 0;
    double c[] = {0.85};
    for (double hours = 1; hours <= 24; hours += 1) {
        ASSERT_EQ(gsl_odeiv2_driver_apply(driver, &t, hours, c), GSL_SUCCESS);
        EXPECT_NEAR(concentration_after(0.85, 2.5, 0.25, hours), c[0], 1e-9);
    }
    gsl_odeiv2_driver_free(driver);
}

TEST(Dissolution, NeverOvershootsAndReachesEachFractionInTime) {
    for (double fraction = 0.05; fraction < 0.999; fraction += 0.05) {
        const double hours = hours_to_fraction(fraction, 0.25);
        EXPECT_NEAR(concentration_after(0, 1, 0.25, hours), fraction, 1e-12);
    }
    EXPECT_EQ(concentration_after(0.8, 2.5, 0.25, 0), 0.8);
    EXPECT_EQ(concentration_after(0.8, 2.5, 0, 100), 0.8);
    EXPECT_TRUE(std::isinf(hours_to_fraction(1, 0.25)));
    EXPECT_TRUE(std::isnan(hours_to_fraction(1.5, 0.25)));
    EXPECT_TRUE(std::isnan(concentration_after(nan_value, 2.5, 0.25, 1)));
}

TEST(Dissolution, HasAPriorForEachMethodThatMatchesItsTimes) {
    // days and minutes and hours to 95 %, as the trade has it
    EXPECT_NEAR(hours_to_fraction(0.95, kla_prior(GassingMethod::head_space_still).kla_per_hour), 10 * 24, 2);
    EXPECT_NEAR(hours_to_fraction(0.95, kla_prior(GassingMethod::shaken_keg).kla_per_hour), 0.5, 0.01);
    EXPECT_NEAR(hours_to_fraction(0.95, kla_prior(GassingMethod::fine_stone).kla_per_hour), 12, 0.1);
    for (const KlaPrior& prior : kla_priors) {
        EXPECT_LT(prior.low, prior.kla_per_hour) << prior.name;
        EXPECT_LT(prior.kla_per_hour, prior.high) << prior.name;
    }
}

}  // namespace
}  // namespace gyled::brewing
