#include "daemon/brewing/fermentation.hpp"

#include <gsl/gsl_deriv.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_odeiv2.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

#include "daemon/brewing/dissolution.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

constexpr Logistic curve{.end = 2.5, .drop = 9.5, .rate_per_hour = 0.06, .midpoint_hours = 40};

TEST(Logistic, FallsFromStartToEnd) {
    for (double t = -50; t < 300; t += 1) EXPECT_GT(curve.at(t), curve.at(t + 1));
    EXPECT_NEAR(curve.at(-1000), 12.0, 1e-12);
    EXPECT_NEAR(curve.at(40), 2.5 + 9.5 / 2, 1e-12);
    EXPECT_NEAR(curve.at(1e6), 2.5, 1e-12);
    EXPECT_NEAR(curve.at(-1e6), 12.0, 1e-12);
}

TEST(Logistic, IsSteepestWhereTheGnuScientificLibraryMeasuresIt) {
    gsl_function f{[](double t, void*) { return curve.at(t); }, nullptr};
    double slope = 0;
    double error = 0;
    gsl_deriv_central(&f, 40, 0.01, &slope, &error);
    EXPECT_NEAR(-slope, curve.fastest_per_hour(), 1e-8);
}

TEST(Logistic, ReachesEveryGapWhenItSays) {
    for (double gap = 0.01; gap < 9.5; gap += 0.1)
        EXPECT_NEAR(curve.at(curve.hours_until_gap(gap)) - 2.5, gap, 1e-10);
    EXPECT_TRUE(std::isinf(curve.hours_until_gap(0)));
    EXPECT_TRUE(std::isnan(curve.hours_until_gap(10)));
    EXPECT_TRUE(std::isnan(curve.hours_until_gap(nan_value)));
    // 5 to 95 % of the drop takes 5.89 / rate, from which the priors of a culture follow.
    EXPECT_NEAR(curve.hours_until_gap(0.05 * 9.5) - curve.hours_until_gap(0.95 * 9.5), 5.889 / 0.06, 0.01);
}

TEST(Gompertz, LagsThenRisesToTheTotal) {
    const Gompertz growth{.total = 9.5, .fastest_per_hour = 0.24, .lag_hours = 14};
    for (double t = 0; t < 200; t += 1) EXPECT_LT(growth.at(t), growth.at(t + 1));
    EXPECT_NEAR(growth.at(1e4), 9.5, 1e-9);
    gsl_function f{[](double t, void* g) { return static_cast<Gompertz*>(g)->at(t); },
                   const_cast<Gompertz*>(&growth)};
    double steepest = 0;
    for (double t = 0; t < 100; t += 0.1) {
        double slope = 0;
        double error = 0;
        gsl_deriv_central(&f, t, 0.01, &slope, &error);
        steepest = std::max(steepest, slope);
    }
    EXPECT_NEAR(steepest, 0.24, 1e-5);
    EXPECT_TRUE(std::isnan(growth.at(nan_value)));
}

TEST(RateFactor, IsOneAtHomeAndReverses) {
    for (double t = 2; t < 30; t += 3) {
        EXPECT_DOUBLE_EQ(rate_factor_q10(2.5, t, t), 1);
        EXPECT_DOUBLE_EQ(rate_factor_arrhenius(55, t, t), 1);
        EXPECT_NEAR(rate_factor_arrhenius(55, t, 20) * rate_factor_arrhenius(55, 20, t), 1, 1e-12);
        EXPECT_NEAR(rate_factor_q10(2.2, t, 20) * rate_factor_q10(2.2, 20, t), 1, 1e-12);
    }
    EXPECT_TRUE(std::isnan(rate_factor_q10(2, nan_value, 20)));
    EXPECT_TRUE(std::isnan(rate_factor_arrhenius(55, 10, nan_value)));
}

/// The standard error is what least squares, by GSL, finds in a line of many noisy readings.
TEST(SlopeStandardError, IsTheScatterOfFittedSlopes) {
    constexpr std::size_t n = 48;
    std::mt19937_64 random{20260302};
    std::normal_distribution<double> noise{0, 0.0005};
    std::vector<double> hours(n);
    std::vector<double> sg(n);
    for (std::size_t i = 0; i < n; ++i) hours[i] = 48.0 * static_cast<double>(i) / (n - 1);
    double squares = 0;
    constexpr int worlds = 4000;
    for (int world = 0; world < worlds; ++world) {
        for (double& reading : sg) reading = 1.012 + noise(random);
        double c0 = 0, c1 = 0, cov00 = 0, cov01 = 0, cov11 = 0, sumsq = 0;
        gsl_fit_linear(hours.data(), 1, sg.data(), 1, n, &c0, &c1, &cov00, &cov01, &cov11, &sumsq);
        squares += c1 * c1;
    }
    EXPECT_NEAR(std::sqrt(squares / worlds) / slope_standard_error(0.0005, n, 48), 1, 0.04);
    EXPECT_TRUE(std::isnan(slope_standard_error(0.0005, nan_value, 48)));
    EXPECT_TRUE(std::isnan(slope_standard_error(0.0005, 0.5, 48)));
}

TEST(CulturePrior, IsThereForEveryCultureAndHangsTogether) {
    for (const Culture culture : {Culture::ale, Culture::lager, Culture::mixed}) {
        const CulturePrior& prior = prior_of(culture);
        EXPECT_EQ(prior.culture, culture);
        for (const Band band : {prior.temperature_c, prior.primary_days, prior.apparent_attenuation_percent})
            EXPECT_LT(band.low, band.high) << name(culture);
        if (!prior.logistic_rate_per_hour) continue;
        // rate = 5.89 / hours of the primary, at its shortest and its longest
        EXPECT_NEAR(prior.logistic_rate_per_hour->high, 5.89 / (24 * prior.primary_days.low), 0.003)
            << name(culture);
        EXPECT_NEAR(prior.logistic_rate_per_hour->low, 5.89 / (24 * prior.primary_days.high), 0.001)
            << name(culture);
    }
    EXPECT_FALSE(prior_of(Culture::mixed).logistic_rate_per_hour) << "a logistic does not describe it";
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
        EXPECT_NEAR(kla_from_fraction(fraction, hours), 0.25, 1e-12);
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
