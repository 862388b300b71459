/// Are the worlds what they are called? Held to what their sources say, and to what is always true.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "tests/simulation/ferments/truth/kinetics.hpp"
#include "tests/simulation/ferments/truth/worlds.hpp"

namespace gyled::ferment_worlds {
namespace {

using base::Culture;

constexpr Pitch ale{Culture::ale, 50, 20}, lager{Culture::lager, 50, 11};

World world_of(std::string_view kind, std::uint64_t seed) {
    return std::ranges::find(kinds(), kind, &Kind::name)->make(seed);
}

/// The share eaten, each quarter of an hour.
std::vector<double> eaten(Kinetics yeast, double celsius, double hours) {
    std::vector<double> shares;
    for (double hour = 0; hour < hours; hour += 0.25) {
        yeast.step(0.25, celsius);
        shares.push_back(yeast.eaten(yeast.state));
    }
    return shares;
}

double hour_at(const std::vector<double>& shares, double share) {
    const auto found = std::ranges::find_if(shares, [&](double s) { return s >= share; });
    return 0.25 * static_cast<double>(found - shares.begin());
}

struct Peak {
    double per_h, share;
};
Peak quickest(const std::vector<double>& shares) {
    Peak peak{0, 0};
    for (std::size_t i = 4; i < shares.size(); ++i)
        if (const double per_h = shares[i] - shares[i - 4]; per_h > peak.per_h) peak = {per_h, shares[i - 2]};
    return peak;
}

/// Speers et al. 2003: the slope at the midpoint is PD B / 4, and 5 to 95 % takes 5.89 / B.
TEST(FermentTruth, ALogisticIsAsSteepAsItIsLong) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        Random random{seed};
        const auto shares = eaten(logistic(ale, random), 20, 400);

        const Peak peak = quickest(shares);
        // A little less: what of the curve lies before pitching is not there.
        EXPECT_NEAR(peak.per_h * (hour_at(shares, 0.95) - hour_at(shares, 0.05)), 5.89 / 4, 0.1);
        EXPECT_NEAR(peak.share, 0.5, 0.03);
    }
}

/// Zwietering et al. 1990: the quickest moment of Gompertz's curve is where 1/e of it is done.
TEST(FermentTruth, GompertzIsQuickestAtOneOverE) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        Random random{seed};

        EXPECT_NEAR(quickest(eaten(gompertz(ale, random), 20, 400)).share, std::exp(-1), 0.03);
    }
}

/// Gee and Ramirez 1988: the sugars go one after the other, and the last one slowest.
TEST(FermentTruth, GlucoseGoesBeforeMaltoseAndMaltotrioseLast) {
    Random random{3};
    Kinetics yeast = three_sugars(ale, random);
    const State start = yeast.state;
    const auto left = [&](std::size_t sugar) { return yeast.state[sugar] / start[sugar]; };

    while (left(0) > 0.1) yeast.step(0.25, 20);
    EXPECT_GT(left(1), 0.5);
    while (left(1) > 0.1) yeast.step(0.25, 20);
    EXPECT_GT(left(2), 0.15);
}

/// De Andres-Toro et al. 1998 ferment 130 g/L at 8 to 13 degC in some five to seven days, with little left.
TEST(FermentTruth, TheActivatedLagerTakesAWeek) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        Random random{seed};
        const auto shares = eaten(activated_biomass(lager, random), 11, 400);

        EXPECT_GT(hour_at(shares, 0.97), 90);
        EXPECT_LT(hour_at(shares, 0.97), 190);
        EXPECT_GT(shares.back(), 0.99);
    }
}

/// Coleman et al. 2007, as musts do: the faster the more nitrogen there was; and the end is abrupt.
TEST(FermentTruth, WhatNitrogenLimitsEndsAbruptly) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        Random random{seed};
        Kinetics poor = nitrogen_limited(ale, random);
        Kinetics rich = poor;
        rich.state[1] *= 2;
        const auto shares = eaten(poor, 20, 400);

        const double rise = hour_at(shares, 0.6) - hour_at(shares, 0.05);
        EXPECT_LT(hour_at(shares, 0.99) - hour_at(shares, 0.6), rise);
        EXPECT_LT(hour_at(eaten(rich, 20, 400), 0.6), hour_at(shares, 0.6));
    }
}

/// Real ferments take 1 to 2.6 times as long from 60 % to the end as from 5 to 60 %, published curves .75
/// to 3.4.
TEST(FermentTruth, TheFormsDifferInHowTheyEnd) {
    std::vector<double> medians;
    for (const char* family :
         {"logistic", "gompertz", "activated-biomass", "three-sugars", "nitrogen-limited"}) {
        std::vector<double> ratios;
        for (std::uint64_t seed = 1; seed <= 15; ++seed) {
            const World world = world_of(family, seed);
            const double sixty = world.hour_of_share(0.6).value();
            ratios.push_back((world.hour_within(end_sg).value() - sixty) /
                             (sixty - world.hour_of_share(0.05).value()));
        }
        std::ranges::sort(ratios);
        medians.push_back(ratios[7]);
    }
    EXPECT_LT(std::ranges::min(medians), 0.9);
    EXPECT_GT(std::ranges::max(medians), 2.4);
}

/// Q10 of 2 to 3, common practice; the sources' own laws a little beside it.
TEST(FermentTruth, WarmthHurriesEveryForm) {
    for (const auto form : {logistic, five_parameter, gompertz, three_sugars, nitrogen_limited, at_once}) {
        Random random{5};
        const Kinetics yeast = form(ale, random);

        const double ratio = hour_at(eaten(yeast, 14, 900), 0.5) / hour_at(eaten(yeast, 24, 900), 0.5);
        EXPECT_GT(ratio, 1.7);
        EXPECT_LT(ratio, 4.3);
    }
}

TEST(FermentTruth, AFinerStepChangesNothing) {
    for (const auto form : {activated_biomass, three_sugars, nitrogen_limited}) {
        Random random{7};
        Kinetics coarse = form(lager, random);
        Kinetics fine = coarse;
        for (double hour = 0; hour < 72; hour += 0.25) {
            coarse.step(0.25, 12);
            for (int part = 0; part < 5; ++part) fine.step(0.05, 12);
        }
        EXPECT_NEAR(coarse.eaten(coarse.state), fine.eaten(fine.state), 0.002);  // a tenth of a point
    }
}

TEST(FermentTruth, ColdYeastSleeps) {
    for (const auto form : {logistic, three_sugars, nitrogen_limited, at_once}) {
        Random random{9};
        Kinetics yeast = form(ale, random);
        for (double hour = 0; hour < 36; hour += 0.25) yeast.step(0.25, 20);
        const double asleep = yeast.eaten(yeast.state);
        for (double hour = 0; hour < 72; hour += 0.25) yeast.step(0.25, 2);

        EXPECT_NEAR(yeast.eaten(yeast.state), asleep, 0.01);
    }
}

TEST(FermentWorlds, OnlyFallAndEndWhereTheyTend) {
    for (const Kind& kind : kinds()) {
        const World world = kind.make(3);
        for (std::size_t i = 1; i < world.quarters.size(); ++i)
            ASSERT_LE(world.quarters[i].sg, world.quarters[i - 1].sg + 1e-9) << world.name();
        if (!world.has_an_end) continue;
        const double end = world.hour_within(end_sg).value();
        EXPECT_LE(world.at(end).sg, world.terminal_sg + end_sg + 1e-9);
        EXPECT_GT(world.at(end - 0.25).sg, world.terminal_sg + end_sg - 1e-9);
        const double fallen_later = world.creeps_h ? 0.006 : 0.0004;
        EXPECT_NEAR(world.quarters.back().sg, world.terminal_sg, fallen_later) << world.name();
    }
}

TEST(FermentWorlds, MeetEachStrengthAtEachWarmth) {
    std::set<std::pair<int, int>> met;
    for (std::uint64_t seed = 1; seed <= 25; ++seed) {
        const World world = world_of("gompertz", seed);
        const bool is_lager = world.culture == Culture::lager;
        const double celsius = world.stages.front().celsius;
        const double points = (world.original_sg - 1) * 1000;
        met.emplace(static_cast<int>(points > 40) + (points > 48) + (points > 58) + (points > 77),
                    static_cast<int>(std::lround(is_lager ? (celsius - 8) / 1.5 : (celsius - 16) / 2)));
    }
    EXPECT_EQ(met.size(), 25);
}

TEST(FermentWorlds, StuckOnesStandAndCreepingOnesGoOn) {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        for (const char* stuck : {"cold-shock", "yeast-drops"}) {
            const World world = world_of(stuck, seed);
            EXPECT_GT(world.hours(), world.stopped_h.value() + 72);
            EXPECT_LT(world.at(*world.stopped_h + 24).sg - world.quarters.back().sg, 0.0005) << world.name();
        }
        const World creeps = world_of("late-creep", seed);
        EXPECT_GT(creeps.creeps_h.value(), creeps.hour_within(end_sg).value() + 48);
        EXPECT_LT(creeps.quarters.back().sg, creeps.terminal_sg - 0.0012) << creeps.name();
    }
}

TEST(FermentWorlds, AFloatIsAsBadAsFloatsAre) {
    // 0.6 to 1.2 points of noise, 0.7 of wander, steps of up to a point; an offset of 1.5.
    std::vector<double> offsets;
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        const World world = world_of("logistic", seed);
        std::vector<double> off;
        for (const Reading& reading : world.readings) {
            const double hour = base::hours_between(world.begin, reading.at);
            const bool is_a_floats = reading.quantity == base::Quantity::gravity && !reading.by_hand;
            if (is_a_floats && hour < 120) off.push_back(1000 * (reading.value - world.at(hour).sg));
        }
        std::ranges::sort(off);
        const auto quantile = [&](double share) {
            return off[static_cast<std::size_t>(share * static_cast<double>(off.size()))];
        };
        offsets.push_back(std::abs(quantile(0.5)));
        EXPECT_GT(quantile(0.84) - quantile(0.16), 1.2);
        EXPECT_LT(quantile(0.84) - quantile(0.16), 4);
        EXPECT_LT(std::ranges::count_if(off, [&](double o) { return std::abs(o - quantile(0.5)) > 6; }),
                  0.03 * static_cast<double>(off.size()));
    }
    std::ranges::sort(offsets);
    EXPECT_GT(offsets[15], 0.4);
    EXPECT_LT(offsets[15], 2.0);
}

TEST(FermentWorlds, ABrewerWithAHydrometerReadsItOnceADay) {
    const World world = world_of("hydrometer-alone", 2);
    const auto read = std::ranges::count(world.readings, true, &Reading::by_hand);
    const auto floated = std::ranges::count_if(world.readings, [](const Reading& reading) {
        return reading.quantity == base::Quantity::gravity && !reading.by_hand;
    });

    EXPECT_NEAR(static_cast<double>(read), world.hours() / 24, 2);
    EXPECT_EQ(floated, 0);
}

/// The halves of the real ferments do not meet, and what is known of their ends is as real/README.md says.
TEST(FermentWorlds, RealFermentsAreTheirSamples) {
    std::set<std::uint64_t> tuning, test;
    for (std::uint64_t seed = 1; seed <= 4; ++seed) tuning.insert(world_of("real-tuning", seed).number / 100);
    for (std::uint64_t seed = 1; seed <= 3; ++seed) test.insert(world_of("real-test", seed).number / 100);
    EXPECT_EQ(tuning, (std::set<std::uint64_t>{1, 7, 13, 19}));
    EXPECT_EQ(test, (std::set<std::uint64_t>{4, 10, 16}));

    const World sixteenth = world_of("real-test", 3);
    EXPECT_NEAR(sixteenth.original_sg, 1.050, 0.0005);  // as the source has it in SG
    EXPECT_NEAR(sixteenth.at(60).sg, 1.0226, 0.0008);   // 5.754 degrees Plato
    EXPECT_TRUE(sixteenth.has_an_end);
    EXPECT_TRUE(sixteenth.chilled_h);
    EXPECT_FALSE(world_of("real-tuning", 2).has_an_end);  // still falling when the record stops
}

TEST(FermentWorlds, BatchesOfOneCultureAreAlike) {
    const Kind& learned = *std::ranges::find(kinds(), "three-learned", &Kind::name);
    const World fourth = learned.make(3);
    const auto before = learned.before(3);

    ASSERT_EQ(before.size(), 3);
    for (const World& batch : before) {
        EXPECT_EQ(batch.culture, fourth.culture);
        const auto gone = [](const World& w) {
            return (w.original_sg - w.terminal_sg) / (w.original_sg - 1);
        };
        EXPECT_NEAR(gone(batch), gone(fourth), 0.06);
    }
}

}  // namespace
}  // namespace gyled::ferment_worlds
