#include "daemon/brewing/extract.hpp"

#include <gsl/gsl_spline.h>
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "daemon/base/units.hpp"
#include "daemon/brewing/atmosphere.hpp"
#include "tests/brewing/numeric.hpp"

namespace gyled::brewing {
using namespace base;
namespace {

TEST(Units, RoundTrip) {
    for (double x = -300; x <= 400; x += 7.3) {
        EXPECT_NEAR(celsius_from_fahrenheit(fahrenheit_from_celsius(x)), x, 1e-12);
        EXPECT_NEAR(psi_from_kpa(kpa_from_psi(x)), x, 1e-12);
        EXPECT_NEAR(bar_from_kpa(kpa_from_bar(x)), x, 1e-12);
        EXPECT_NEAR(us_gallons_from_litres(litres_from_us_gallons(x)), x, 1e-12);
    }
    // 231 cubic inches (NIST Handbook 44): exact.
    EXPECT_DOUBLE_EQ(litres_from_us_gallons(1), 231 * 0.254 * 0.254 * 0.254);
}

TEST(Atmosphere, ThinsWithHeightAndEndsSomewhere) {
    for (double h = -400; h < 11000; h += 100) EXPECT_LT(atmosphere_at(h + 100), atmosphere_at(h));
    EXPECT_TRUE(std::isnan(atmosphere_at(60'000).kpa_absolute()));
    EXPECT_TRUE(std::isnan(atmosphere_at(nan_value).kpa_absolute()));
    EXPECT_DOUBLE_EQ(gauge_shift_kpa(standard_atmosphere), 0);
    EXPECT_LT(gauge_shift_kpa(atmosphere_at(-100)), 0);
}

TEST(Plato, RoundTripsOverItsWholeRange) {
    for (double plato = -20; plato <= 70; plato += 0.25)
        EXPECT_NEAR(plato_from_sg(sg_from_plato(plato)), plato, 1e-11) << plato;
    for (double sg = 0.980; sg <= 1.130; sg += 0.001)
        EXPECT_NEAR(sg_from_plato(plato_from_sg(sg)), sg, 1e-13) << sg;
}

TEST(Plato, IsInvertedAsTheGnuScientificLibraryInvertsIt) {
    for (double plato = -5; plato <= 40; plato += 0.5) {
        const double root = gsl_root([plato](double sg) { return plato_from_sg(sg) - plato; }, 0.9, 1.3);
        EXPECT_NEAR(sg_from_plato(plato), root, 1e-12) << plato;
    }
}

/// Handbook values (Asadi 2006, Table A.1, true ratio): a spline through them, by GSL, tells the scale
/// between the lines; the apparent scale is up to 1e-4 above.
TEST(Plato, FollowsTheSucroseTableBetweenItsLines) {
    const std::array<double, 5> percent{0, 10, 12, 15, 20};
    const std::array<double, 5> sg{1.0, 1.03998, 1.04831, 1.06104, 1.08287};
    gsl_interp_accel* accel = gsl_interp_accel_alloc();
    gsl_spline* spline = gsl_spline_alloc(gsl_interp_akima, percent.size());
    gsl_spline_init(spline, percent.data(), sg.data(), percent.size());
    for (double p = 9; p <= 20; p += 0.5)
        EXPECT_NEAR(sg_from_plato(p), gsl_spline_eval(spline, p, accel), 1.6e-4) << p;
    gsl_spline_free(spline);
    gsl_interp_accel_free(accel);
}

TEST(Plato, RisesWithGravityEverywhere) {
    for (double sg = 0.95; sg < 1.30; sg += 0.001) {
        EXPECT_LT(plato_from_sg(sg), plato_from_sg(sg + 0.001));
        EXPECT_LT(brix_from_sg(sg), brix_from_sg(sg + 0.001));
    }
}

TEST(Plato, AgreesWithItsSisters) {
    for (double sg = 1.000; sg <= 1.1001; sg += 0.002) {
        EXPECT_NEAR(plato_from_sg(sg), brix_from_sg(sg), 0.006) << sg;
        if (sg <= 1.083) {
            EXPECT_NEAR(sg_from_plato_rational(plato_from_sg(sg)), sg, 2.1e-5) << sg;
        }
    }
}

TEST(Plato, PassesNanOn) {
    for (const auto f : {plato_from_sg, sg_from_plato, sg_from_plato_rational, brix_from_sg, points_from_sg})
        EXPECT_TRUE(std::isnan(f(nan_value)));
}

TEST(GravityPoints, AreThousandths) {
    EXPECT_NEAR(points_from_sg(1.048), 48, 1e-9);
    EXPECT_NEAR(sg_from_points(48), 1.048, 1e-12);
}

}  // namespace
}  // namespace gyled::brewing
