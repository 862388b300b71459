#include "daemon/estimation/trend/pressure_trend.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace gyled::estimation::trend {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;
}

/// kPa gauge: a straight rise with the noise of an ordinary transducer, one reading a minute.
PressureTrend rising(double from, double per_hour, double noise, Duration span, unsigned seed) {
    std::mt19937 random{seed};
    std::normal_distribution<double> jitter;
    PressureTrend trend;
    for (Duration t = 0s; t <= span; t += 1min)
        trend.add(at(t), from + per_hour * static_cast<double>(t.count()) / 3.6e6 + noise * jitter(random));
    return trend;
}

TEST(PressureTrend, KnowsHowItStoodAWhileAgo) {
    PressureTrend trend = rising(0, 0, 0.3, 40min, 3);
    for (Duration t = 40min + 10s; t <= 41min; t += 10s) trend.add(at(t), -4);

    const auto before = trend.level_before();
    ASSERT_TRUE(before);
    EXPECT_NEAR(before->kpa, 0, 0.2) << "the last two minutes do not count";
    EXPECT_FALSE(rising(0, 0, 0.3, 3min, 3).level_before()) << "one reading is no median";
}

TEST(PressureTrend, ForetellsWhenAStraightRiseMeetsTheLimit) {
    const PressureTrend trend = rising(100, 20, 0.3, 60min, 1);  // 120 kPa now, 60 to go: 3 h

    const auto when = trend.time_to(180);

    ASSERT_TRUE(when.has_value());
    const double hours = (when->value - base::unix_seconds(at(60min))) / 3600;
    EXPECT_NEAR(hours, 3.0, 0.2);
    EXPECT_LT(when->low, when->value);
    EXPECT_GT(when->high, when->value);
}

/// A valve was shut at the fortieth minute: what was before does not count, nor is the rise asked to be
/// beyond doubt.
TEST(PressureTrend, TellsHowItMovedSinceAMoment) {
    PressureTrend trend = rising(0, 0, 0.2, 40min, 1);
    for (int minute = 1; minute <= 10; ++minute) trend.add(at(40min + 1min * minute), 0.3 * minute);

    const auto rate = trend.rate_since(at(40min));
    ASSERT_TRUE(rate);
    EXPECT_NEAR(rate->kpa_per_hour, 18, 3);
    EXPECT_NEAR(rate->sigma, 1.2, 0.5) << "0.2 kPa over the root of 110 square minutes";
    EXPECT_FALSE(trend.rate_since(at(47min))) << "three minutes";
    EXPECT_FALSE(PressureTrend{}.rate_since(at(0min)));
}

/// 60 kPa to go of 62 that are to come: with first-order uptake 62 ln 31 / 20 h; of 50, never. The early end
/// knows nothing of it.
TEST(PressureTrend, TheLateEndLevelsOffWhereTheRiseEnds) {
    const PressureTrend trend = rising(100, 20, 0.1, 60min, 1);
    const double now = base::unix_seconds(at(60min));
    const auto straight = trend.time_to(180);
    const auto slowing = trend.time_to(180, 182);
    ASSERT_TRUE(straight && slowing);
    EXPECT_NEAR((slowing->high - now) / 3600, 10.6, 0.6);
    EXPECT_DOUBLE_EQ(slowing->low, straight->low);
    EXPECT_TRUE(std::isinf(trend.time_to(180, 170)->high));
    EXPECT_DOUBLE_EQ(trend.time_to(180, 5000)->high, straight->high);
}

/// 26 L with 21.5 L of beer, in which a fifth of the CO2 that is set free stays above the beer in the end.
/// The two boxes are worked out in steps of a second: `made` kPa an hour come in above, and the beer takes up
/// or gives off what it lacks.
struct ShutBoxes {
    double made, share = 0.2, uptake_per_h = 2;
    double above = 0, dissolved = 0;
    void step_s() {
        constexpr double h = 1.0 / 3600;
        const double passes = uptake_per_h * (above * (1 - share) - dissolved * share) * h;
        above += made * h - passes;
        dissolved += passes;
    }
};

Settling settling_after(Duration shut) {
    return {.shut_h = base::hours_between(at(0h), at(shut)), .settles_h = 0.5, .share = {0.2, 0.125, 0.32}};
}

/// Open for an hour until at(0h).
PressureTrend open_so_far(std::mt19937& random) {
    std::normal_distribution<double> jitter;
    PressureTrend trend;
    for (Duration t = -60min; t < 0min; t += 1min) trend.add(at(t), 0.2 * jitter(random));
    return trend;
}

/// Just shut at high krausen: 120 kPa an hour at first, 24 for the rest of the day.
TEST(PressureTrend, AVesselJustShutDoesNotGoOnAsItBegan) {
    for (const int look_min : {5, 15, 30, 60, 120}) {
        std::mt19937 random{7};
        std::normal_distribution<double> jitter;
        PressureTrend trend = open_so_far(random);
        ShutBoxes boxes{.made = 120};
        int seconds = 0;
        for (; boxes.above < 180; ++seconds, boxes.step_s())
            if (seconds % 60 == 0 && seconds <= 60 * look_min)
                trend.add(at(std::chrono::seconds{seconds}), boxes.above + 0.2 * jitter(random));

        const auto straight = trend.time_to(180);
        const auto when = trend.time_to(180, {}, settling_after(1min * look_min));
        ASSERT_TRUE(straight && when) << look_min;
        const auto hours = [&](double unix_s) { return (unix_s - base::unix_seconds(at(0h))) / 3600; };
        const double met = seconds / 3600.0;
        EXPECT_NEAR(met, 5.5, 0.1) << "180 = 24 h + 48";
        EXPECT_NEAR(hours(when->value), met, 0.15 * met) << look_min;
        EXPECT_LT(hours(when->low), met);
        EXPECT_GT(hours(when->high), met);
        if (look_min <= 60) {
            EXPECT_GT(hours(when->low) - look_min / 60.0, 2.0) << "nobody is called for what is hours ahead";
        }
        if (look_min < 20) {
            EXPECT_LT(hours(straight->low), 2.0) << "as a straight line would have it";
        }
    }
}

/// A valve that lets gas in looks the same at first: it is still told two hours ahead.
TEST(PressureTrend, AStraightRiseIsToldInTimeAlsoWhereOneThatSlowsIsExpected) {
    for (const int look_min : {5, 15, 30}) {
        std::mt19937 random{4};
        PressureTrend trend = open_so_far(random);
        for (int minute = 0; minute <= look_min; ++minute)
            trend.add(at(1min * minute), 200 * minute / 60.0);  // met after 54 min
        const auto when = trend.time_to(180, {}, settling_after(1min * look_min));
        ASSERT_TRUE(when) << look_min;
        EXPECT_LT((when->low - base::unix_seconds(at(1min * look_min))) / 3600, 2.0);
    }
}

TEST(PressureTrend, KnowsTheLastReadingBeforeAMoment) {
    const PressureTrend trend = rising(0, 60, 0, 10min, 1);
    EXPECT_NEAR(trend.reading_before(at(5min + 20s)).value(), 5, 1e-9);
    EXPECT_FALSE(trend.reading_before(at(-1min)));
}

TEST(PressureTrend, SeesABurstWithinMinutes) {
    PressureTrend trend = rising(50, 0, 0.3, 60min, 2);
    for (int minute = 1; minute <= 5; ++minute) trend.add(at(60min + 1min * minute), 50 + 8 * minute);

    const auto when = trend.time_to(180);

    ASSERT_TRUE(when.has_value());
    EXPECT_LT(when->value - base::unix_seconds(at(65min)), 20 * 60) << "90 kPa to go at 8 kPa a minute";
}

TEST(PressureTrend, IsNotFooledByNoise) {
    // 200 vessels at rest for 12 h each, asked every minute: 144,000 looks. Budget: 5 looks may err.
    int fooled = 0;
    for (unsigned seed = 0; seed < 200; ++seed) {
        std::mt19937 random{seed};
        std::normal_distribution<double> jitter{0, 0.5};
        PressureTrend trend;
        for (Duration t = 0s; t < 12h; t += 1min) {
            trend.add(at(t), 60 + jitter(random));
            if (const auto when = trend.time_to(180); when && when->value - base::unix_seconds(at(t)) < 7200)
                ++fooled;
        }
    }
    EXPECT_LE(fooled, 5);
}

TEST(PressureTrend, IsNotFooledByAKnock) {
    PressureTrend trend = rising(60, 0, 0.2, 60min, 4);
    trend.add(at(61min), 110);
    trend.add(at(62min), 60.1);
    trend.add(at(63min), 59.9);

    EXPECT_FALSE(trend.time_to(180).has_value());
}

TEST(PressureTrend, KnowsNothingAfterASilence) {
    PressureTrend trend = rising(60, 30, 0.2, 60min, 5);
    trend.add(at(2h), 120);

    EXPECT_FALSE(trend.time_to(180).has_value());
}

TEST(PressureTrend, GasThatWasLetOffEndsTheRiseWithinMinutes) {
    for (const Duration span : {60min, 120min}) {
        PressureTrend trend = rising(20, 30, 0.2, span, 7);
        ASSERT_TRUE(trend.time_to(180));

        for (int minute = 1; minute <= 4; ++minute) trend.add(at(span + 1min * minute), 0.1 * minute);
        EXPECT_FALSE(trend.time_to(180).has_value()) << "the vent was opened: nothing rises";
        for (int minute = 5; minute <= 90; ++minute) {
            trend.add(at(span + 1min * minute), 0.5 + 0.1 * (minute % 3));
            const auto when = trend.time_to(180);
            EXPECT_TRUE(!when || when->low - base::unix_seconds(at(span)) > 2.5 * 3600)
                << minute << ": nothing that would ring or go on ringing";
        }
    }
}

TEST(PressureTrend, AKnockDownwardsDoesNotHideARise) {
    PressureTrend trend = rising(100, 20, 0.3, 60min, 8);
    trend.add(at(61min), 60);
    trend.add(at(62min), 61);

    EXPECT_TRUE(trend.time_to(180).has_value());
}

TEST(PressureTrend, SaysWhetherARiseWouldHaveShown) {
    PressureTrend trend;
    EXPECT_FALSE(trend.would_show_a_rise());
    EXPECT_FALSE(rising(60, 0, 0, 39min, 1).would_show_a_rise());
    EXPECT_TRUE(rising(60, 0, 0, 40min, 1).would_show_a_rise());

    trend = rising(60, 30, 0, 60min, 1);
    trend.add(at(2h), 80);
    EXPECT_FALSE(trend.would_show_a_rise()) << "after a silence it begins anew";
    trend.add(at(2h + 1min), 70);
    EXPECT_TRUE(trend.would_show_a_rise()) << "it fell";
}

TEST(PressureTrend, IgnoresWhatIsLateOrNoNumber) {
    PressureTrend trend = rising(100, 20, 0.3, 60min, 6);
    const auto before = trend.time_to(180);
    trend.add(at(30min), 179);
    trend.add(at(61min), NAN);

    EXPECT_EQ(trend.time_to(180)->value, before->value);
    EXPECT_FALSE(PressureTrend{}.time_to(180).has_value());
}

TEST(PressureTrend, FollowsAFloodOfReadingsAlike) {
    // a thousand readings a second for half an hour: thinned, and the slope is still there
    PressureTrend trend;
    for (int i = 0; i < 1'800'000; ++i) trend.add(at(Duration{i}), 50 + 20 * i / 3.6e6);

    ASSERT_TRUE(trend.certain_rate().has_value());
    EXPECT_NEAR(trend.certain_rate()->kpa_per_hour, 20, 0.5);
}

}  // namespace
}  // namespace gyled::estimation::trend
