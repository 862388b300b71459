#include "daemon/estimation/gravity/shape.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace gyled::estimation::gravity {
namespace {

/// The differential equation itself, by the midpoint rule.
struct Integrated {
    explicit Integrated(const ShapeParameters& parameters) : p{parameters} {
        while (left > 0.95) advance(1e-3);
        const double from = unit_h;
        first_twentieth = from;
        while (left > 0.25) advance(1e-3);
        hours_per_unit = p.duration_h / (unit_h - from);
        *this = Integrated{p, hours_per_unit, from};
    }
    Integrated(const ShapeParameters& parameters, double scale, double onset)
        : p{parameters}, hours_per_unit{scale}, first_twentieth{onset} {}

    [[nodiscard]] double yeast(double u) const {
        const double c = 1.0 - u;
        return (p.start + c * (1.0 + p.saturation) / (c + p.saturation)) / (1.0 + p.fatigue * c);
    }
    [[nodiscard]] double rate(double u) const {
        const double e = 1.0 - u + p.start * u;
        if (p.form == Form::gompertz) return -e * std::log(e);
        if (p.form == Form::powered_logistic) return e * (1.0 - std::pow(e, 1.0 / p.asymmetry));
        return yeast(u) * u * (1.0 + p.hunger) / (u + p.hunger);
    }
    void advance(double step) {
        const double middle = left - 0.5 * step * rate(left);
        left -= step * rate(middle);
        slow_left *= std::exp(-step * p.slow * (1.0 + p.hunger) / (0.25 + p.hunger) * yeast(middle) /
                              (1.0 + middle / p.repression));
        unit_h += step;
    }

    ShapeParameters p;
    double left = 1.0;
    double slow_left = 1.0;
    double unit_h = 0.0;
    double hours_per_unit = 1.0;
    double first_twentieth = 0.0;  // unit hours that it takes
};

class Shapes : public testing::TestWithParam<ShapeParameters> {};

TEST_P(Shapes, TheTableIsTheIntegralOfTheEquation) {
    const GravityShape shape{GetParam()};
    Integrated truth{GetParam()};

    for (int i = 0; i < 200; ++i) {
        const double hour =
            GetParam().onset_h + (truth.unit_h - truth.first_twentieth) * truth.hours_per_unit;
        const Fermented fermented = shape.at(hour);
        EXPECT_NEAR(fermented.main, 1.0 - truth.left, 0.0015) << "at " << hour << " h";
        if (GetParam().form == Form::growing_yeast) {
            EXPECT_NEAR(fermented.slow, 1.0 - truth.slow_left, 0.0025) << "at " << hour << " h";
        }
        for (int k = 0; k < 100; ++k) truth.advance(1e-3);
    }
}

INSTANTIATE_TEST_SUITE_P(
    OfManyForms, Shapes,
    testing::Values(
        ShapeParameters{.onset_h = 50, .start = 0.03, .saturation = 2.0, .hunger = 0.4},
        ShapeParameters{.onset_h = 50, .start = 0.01, .saturation = 0.05, .hunger = 0.1, .fatigue = 3.0},
        ShapeParameters{.onset_h = 50, .start = 0.03, .hunger = 0.1, .slow = 0.8, .repression = 0.3},
        ShapeParameters{.form = Form::gompertz, .onset_h = 50, .start = 0.02},
        ShapeParameters{.form = Form::powered_logistic, .onset_h = 50, .start = 0.02, .asymmetry = 0.4},
        ShapeParameters{.duration_h = 200.0,
                        .onset_h = 90,
                        .start = 0.05,
                        .saturation = 30.0,
                        .hunger = 8.0,
                        .fatigue = 0.05}));

/// ASBC Yeast-14's logistic curve P(t) = PE + PD / (1 + exp(B (t - M))) is the limit of large saturation and
/// hunger; its gap of a tenth of the drop is left ln 9 / B after the midpoint.
TEST(GravityShape, TheLogisticCurveIsOneOfThem) {
    const double b = 0.1;
    const double duration_h = (std::log(0.75 / 0.25) - std::log(0.05 / 0.95)) / b;
    const GravityShape shape{ShapeParameters{.duration_h = duration_h,
                                             .onset_h = 100,
                                             .start = 1e-4,
                                             .saturation = 60.0,
                                             .hunger = 60.0,
                                             .fatigue = 0.01}};
    const double middle_h = shape.thermal_h_when_left(1.0, 0.0, 0.5);

    for (const double gone : {0.1, 0.25, 0.75, 0.9}) {
        const double expected_h = middle_h + std::log(gone / (1.0 - gone)) / b;
        EXPECT_NEAR(shape.at(expected_h).main, gone, 0.01);
    }
}

TEST(GravityShape, NothingHappensInTheLagAndNothingIsLeftAtLast) {
    const GravityShape shape{ShapeParameters{.onset_h = 60.0}};

    EXPECT_EQ(shape.at(-5.0).main, 0.0);
    EXPECT_EQ(shape.at(20.0).main, 0.0);
    EXPECT_NEAR(shape.at(60.0).main, 0.05, 1e-9);
    EXPECT_NEAR(shape.at(1e5).main, 1.0, 1e-9);
    EXPECT_NEAR(shape.at(1e5).slow, 1.0, 1e-9);
}

TEST(GravityShape, YeastThatStartsAtOnceHasNoLag) {
    const GravityShape shape{ShapeParameters{.onset_h = 2.0}};

    EXPECT_GT(shape.at(0.5).main, 0.0);
    EXPECT_NEAR(shape.at(2.0).main, 0.05, 1e-9);
    EXPECT_NEAR(shape.at(2.0 + ShapeParameters{}.duration_h).main, 0.75, 1e-9);
}

/// What no reading rules out is drawn, up to the ends of the ranges.
TEST(GravityShape, IsANumberEverywhere) {
    for (const Form form : {Form::growing_yeast, Form::powered_logistic, Form::gompertz})
        for (const double start : {1e-4, 0.5, 1.0})
            for (const double asymmetry : {0.1, 1.0, 10.0}) {
                ShapeParameters p;
                p.form = form;
                p.start = start;
                p.asymmetry = asymmetry;
                const GravityShape shape{p};
                double before = 0;
                std::size_t hint = 0;
                for (double hour = 1; hour < 2000; hour *= 1.1) {
                    const double gone = shape.at(hour, hint).main;
                    ASSERT_TRUE(gone >= before && gone <= 1)
                        << gone << " at " << hour << " h, start " << start << ", asymmetry " << asymmetry;
                    before = gone;
                }
                EXPECT_GT(before, 0.9);
            }
}

TEST(GravityShape, TellsWhenLittleIsLeft) {
    const GravityShape shape{ShapeParameters{}};

    for (const double left : {20.0, 5.0, 0.5, 0.001}) {
        const double hour = shape.thermal_h_when_left(36.0, 2.0, left);
        const Fermented then = shape.at(hour);
        EXPECT_NEAR(36.0 * (1.0 - then.main) + 2.0 * (1.0 - then.slow), left, 0.02 * left + 1e-4);
    }
    EXPECT_EQ(shape.thermal_h_when_left(36.0, 2.0, 100.0), 0.0) << "from the start";
    EXPECT_EQ(shape.thermal_h_when_left(36.0, 2.0, -1.0), GravityShape::never);
}

TEST(GravityShape, ASecondOrganismMayComeLate) {
    const GravityShape shape{ShapeParameters{
        .onset_h = 0.05, .has_second_organism = true, .second_per_h = 0.02, .second_odds = 1000.0}};

    const double middle_h = std::log(1002.0) / 0.02;
    EXPECT_LT(shape.at(0.3 * middle_h).slow, 0.02);
    EXPECT_NEAR(shape.at(middle_h).slow, 0.5, 0.01);
    EXPECT_GT(shape.at(2.0 * middle_h).slow, 0.99);
}

}  // namespace
}  // namespace gyled::estimation::gravity
