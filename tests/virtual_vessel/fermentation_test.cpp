#include "sensors/virtual_vessel/plant/fermentation.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

#include "daemon/brewing/balling.hpp"

namespace gyled::virtual_vessel {
namespace {

using base::Culture;

Yeast yeast(Culture culture, std::uint64_t seed) {
    Random random{seed, 1};
    return draw_yeast(culture, random);
}

/// Hours until so much of the fermentable extract is gone; by default all but a fiftieth.
double primary_hours(Fermentation& f, double celsius, double gone = 0.98) {
    double hours = 0;
    for (; f.drop_done() < gone && hours < 2000; hours += 0.05) f.step(0.05, celsius);
    return hours;
}

TEST(Fermentation, AgreesWithBallingsWorkedExample) {
    // OE 12.00, AE 2.50 -> real extract 4.2176, 4.0146 % alcohol by weight, 5.127 % by volume, and 38.5 g of
    // CO2 for each litre of wort (Balling's balance, computed).
    Yeast y = yeast(Culture::ale, 1);
    y.attenuation_percent = 100 * (12.0 - 2.5) / 12.0;
    Fermentation f{y, brewing::sg_from_plato(12.0)};
    for (int i = 0; i < 24 * 60; ++i) f.step(0.5, 20);
    const BeerState beer = f.beer();

    EXPECT_NEAR(beer.sg, brewing::sg_from_plato(2.5), 0.0001);
    EXPECT_NEAR(beer.real_extract_plato, 4.2176, 0.01);
    EXPECT_NEAR(beer.alcohol_by_volume, 5.127, 0.01);
    EXPECT_NEAR(beer.fermented_g_per_l * brewing::co2_yield_of_extract, 38.5, 0.1);
}

TEST(Fermentation, FollowsBallingAllTheWayDown) {
    Fermentation f{yeast(Culture::ale, 3), 1.060};
    const double original = brewing::plato_from_sg(1.060);
    for (int i = 0; i < 300; ++i) {
        f.step(0.5, 20);
        const BeerState beer = f.beer();
        const double apparent = brewing::plato_from_sg(beer.sg);
        ASSERT_NEAR(beer.real_extract_plato, brewing::real_extract_plato({original, apparent}), 1e-6);
        ASSERT_NEAR(beer.alcohol_by_volume, brewing::alcohol_by_volume_percent({1.060, beer.sg}), 1e-3);
    }
}

TEST(Fermentation, PrimaryTakesTheUsualDays) {
    // Common practice: ale 3 to 7 days at 18 to 22 degC, lager 7 to 14 days at 9 to 13 degC. Nine in ten
    // seeds, and all within a day and a half of it.
    struct Case {
        Culture culture;
        double celsius, low_d, high_d;
    };
    for (const Case& c : {Case{Culture::ale, 20, 3, 7}, Case{Culture::lager, 11, 6, 14}}) {
        int usual = 0;
        for (std::uint64_t seed = 1; seed <= 40; ++seed) {
            Fermentation f{yeast(c.culture, seed), 1.048};
            const double days = primary_hours(f, c.celsius) / 24.0;
            usual += days >= c.low_d && days <= c.high_d ? 1 : 0;
            EXPECT_GT(days, c.low_d - 1.5) << "seed " << seed;
            EXPECT_LT(days, c.high_d + 1.5) << "seed " << seed;
        }
        EXPECT_GE(usual, 36);
    }
}

TEST(Fermentation, AttenuatesAsTheCultureDoes) {
    // Common practice: ale 70 to 80 %, lager 75 to 82 %; mixed 85 % and more after weeks.
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        for (const Culture culture : {Culture::ale, Culture::lager, Culture::mixed}) {
            Fermentation f{yeast(culture, seed), 1.048};
            for (int hour = 0; hour < 24 * (culture == Culture::mixed ? 90 : 30); ++hour)
                f.step(1.0, culture == Culture::lager ? 12 : 20);
            const double apparent = brewing::apparent_attenuation_percent(
                {brewing::plato_from_sg(1.048), brewing::plato_from_sg(f.beer().sg)});
            EXPECT_GT(apparent, culture == Culture::mixed ? 84.5 : culture == Culture::lager ? 74.5 : 69.5);
            EXPECT_LT(apparent, culture == Culture::mixed ? 97.1 : 82.1);
        }
    }
}

TEST(Fermentation, WarmthHurriesItByTheUsualFactor) {
    // Q10 of 2 to 3, common practice.
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        Fermentation warm{yeast(Culture::lager, seed), 1.048};
        Fermentation cool{yeast(Culture::lager, seed), 1.048};
        const double ratio = primary_hours(cool, 8, 0.5) / primary_hours(warm, 18, 0.5);
        EXPECT_GT(ratio, 2.0);
        EXPECT_LT(ratio, 3.3);
    }
}

TEST(Fermentation, HasALagASlopeAndASlowTail) {
    Fermentation f{yeast(Culture::ale, 5), 1.048};
    std::vector<double> rate;
    for (int hour = 0; hour < 24 * 10; ++hour) {
        f.step(1.0, 20);
        rate.push_back(f.rate_g_per_l_h());
    }
    const auto peak = std::ranges::max_element(rate);

    EXPECT_LT(rate[1], 0.1 * *peak);
    EXPECT_GT(peak - rate.begin(), 12);
    const auto half_up = std::ranges::find_if(rate, [&](double r) { return r > *peak / 4; });
    const auto half_down = std::find_if(peak, rate.end(), [&](double r) { return r < *peak / 4; });
    EXPECT_GT(half_down - peak, peak - half_up);  // not a logistic curve
}

TEST(Fermentation, ColdPutsTheYeastToSleepAndSomeOfItWakesUp) {
    Fermentation f{yeast(Culture::ale, 2), 1.050};
    for (int i = 0; i < 50; ++i) f.step(1, 20);
    const double before = f.beer().yeast_g_per_l;
    for (int i = 0; i < 48; ++i) f.step(1, 3);
    const BeerState asleep = f.beer();
    for (int i = 0; i < 24; ++i) f.step(1, 3);
    EXPECT_NEAR(f.beer().sg, asleep.sg, 0.0001);
    EXPECT_LT(asleep.yeast_g_per_l, 0.1 * before);

    for (int i = 0; i < 72; ++i) f.step(1, 20);
    EXPECT_GT(f.beer().yeast_g_per_l, 0.15 * before);
    EXPECT_LT(f.beer().yeast_g_per_l, 0.6 * before);
    EXPECT_LT(f.beer().sg, asleep.sg - 0.003);
}

TEST(Fermentation, YeastThatGaveUpStaysStuck) {
    Fermentation f{yeast(Culture::ale, 4), 1.050};
    while (f.drop_done() < 0.5) f.step(0.25, 20);
    f.give_up();
    for (int i = 0; i < 24; ++i) f.step(1, 20);
    const double stuck = f.beer().sg;
    for (int i = 0; i < 24 * 10; ++i) f.step(1, 22);

    EXPECT_NEAR(f.beer().sg, stuck, 0.001);
    EXPECT_LT(f.drop_done(), 0.7);
}

TEST(Fermentation, FreedExtractLowersTheEndByThePointsPromised) {
    Fermentation f{yeast(Culture::ale, 6), 1.050};
    for (int i = 0; i < 24 * 10; ++i) f.step(1, 20);
    const double first_end = f.beer().sg;
    f.free_more(3 * f.grams_per_point());
    for (int i = 0; i < 24 * 40; ++i) f.step(1, 20);

    EXPECT_NEAR(first_end - f.beer().sg, 0.003, 0.0003);
}

}  // namespace
}  // namespace gyled::virtual_vessel
