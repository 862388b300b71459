#include "daemon/estimation/gas/relief.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "daemon/estimation/gas/purge.hpp"

namespace gyled::estimation::gas {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;
}

constexpr double mark_kpa = 180;

/// Rises by `rise` kPa a reading to `opens`, falls within two minutes to `seats`, so many times.
struct Sawtooth {
    double opens = 181, seats = 168, rise = 0.2, noise = 0.2;
    Duration every = 1min;
};
Duration live(ReliefWatch& watch, const Sawtooth& teeth, int times, Duration t = {}) {
    std::mt19937 random{3};
    std::normal_distribution<double> noise{0, teeth.noise};
    double kpa = teeth.seats - 20;
    for (int tooth = 0; tooth < times;) {
        watch.add(at(t), kpa + noise(random), mark_kpa);
        t += teeth.every;
        kpa += teeth.rise;
        if (kpa < teeth.opens) continue;
        ++tooth;
        kpa = teeth.seats;
    }
    for (int i = 0; i < 5; ++i, t += teeth.every) watch.add(at(t), teeth.seats + 0.1 * i, mark_kpa);
    return t;
}

TEST(ReliefWatch, LearnsWhereTheValveOpensAndSeats) {
    for (const Duration every : {30s, 60s, 300s}) {
        ReliefWatch watch;
        live(watch, {.every = every}, 6);

        ASSERT_TRUE(watch.history()) << every.count();
        EXPECT_EQ(watch.history()->count, 6);
        EXPECT_NEAR(watch.history()->opens_kpa, 181, 1.0);
        EXPECT_NEAR(watch.history()->reseats_kpa, 168, 1.0);
        EXPECT_LT(watch.history()->first, watch.history()->last);
    }
}

TEST(ReliefWatch, TellsTheFirstOpeningWithinTenMinutes) {
    ReliefWatch watch;
    Duration t = 0min;
    for (double kpa = 150; kpa < 181; kpa += 0.2, t += 1min) watch.add(at(t), kpa, mark_kpa);
    const Duration opened = t;
    while (!watch.history() && t < opened + 1h) {
        watch.add(at(t), 168, mark_kpa);
        t += 1min;
    }
    EXPECT_LE(t - opened, 10min);
}

/// A month close to the mark, with a noisy transducer; slow weather and cooling besides.
TEST(ReliefWatch, SeesNoOpeningInNoise) {
    for (const double sigma : {0.3, 1.0, 2.0}) {
        ReliefWatch watch;
        std::mt19937 random{17};
        std::normal_distribution<double> noise{0, sigma};
        for (Duration t = 0min; t < 30 * 24h; t += 1min) {
            const double hours = static_cast<double>(t.count()) / 3.6e6;
            watch.add(at(t), 172 + 6 * std::sin(hours / 5) + noise(random), mark_kpa);
        }
        EXPECT_FALSE(watch.history()) << sigma;
    }
}

TEST(ReliefWatch, TakesNeitherAWildValueNorAPersonForTheValve) {
    ReliefWatch watch;
    Duration t = 0min;
    const auto hold = [&](double kpa, int readings) {
        for (int i = 0; i < readings; ++i, t += 1min) watch.add(at(t), kpa, mark_kpa);
    };
    hold(172, 30);
    hold(400, 1);  // one wild value
    hold(172, 30);
    hold(20, 1);
    hold(172, 30);
    for (const double kpa : {160.0, 120.0, 80.0, 40.0, 10.0, 0.0}) hold(kpa, 1);  // let off by hand
    hold(0, 30);
    hold(100, 30);
    for (const double kpa : {80.0, 50.0, 20.0}) hold(kpa, 1);  // far from the mark
    hold(20, 30);
    EXPECT_FALSE(watch.history());
}

TEST(ReliefWatch, ForgetsARunAfterADayAndBeginsAnew) {
    ReliefWatch watch;
    Duration t = live(watch, {}, 4);
    for (const Duration end = t + 25h; t < end; t += 1min) watch.add(at(t), 100, mark_kpa);
    EXPECT_FALSE(watch.history());
    live(watch, {}, 2, t);
    ASSERT_TRUE(watch.history());
    EXPECT_EQ(watch.history()->count, 2);
    EXPECT_GE(watch.history()->first, at(t));
}

TEST(ReliefWatch, GoesOnFromItsMemory) {
    ReliefWatch whole, cut;
    Duration t = live(whole, {}, 2);
    live(cut, {}, 2);
    ReliefWatch taken_up;
    taken_up.restore(cut.memory());
    taken_up.add(at(10min), 500, mark_kpa);  // recalled: older than what is known
    live(whole, {}, 3, t);
    live(taken_up, {}, 3, t);
    EXPECT_EQ(taken_up.memory(), whole.memory());
}

TEST(ReliefWatch, SurvivesNonsense) {
    ReliefWatch watch;
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    for (const double kpa : {nan, -1e300, 1e300, std::numeric_limits<double>::infinity(), 0.0})
        for (const std::optional<double> mark : {std::optional<double>{}, {nan}, {-5.0}, {0.0}, {180.0}}) {
            watch.add(at(0min), kpa, mark);
            watch.add(at(-5min), kpa, mark);
            watch.add(at(5min), kpa, mark);
        }
    EXPECT_FALSE(watch.history());
    ReliefWatch unmarked;
    for (int i = 0; i < 100; ++i) unmarked.add(at(i * 1min), i % 20 == 0 ? 100 : 180, std::nullopt);
    EXPECT_FALSE(unmarked.history());
}

std::optional<PurgeWatch::Purge> purge_of(std::initializer_list<double> kpa, Duration every = 1min) {
    PurgeWatch watch;
    Duration t = 0min;
    for (const double value : kpa) {
        watch.add(at(t), value);
        t += every;
    }
    return watch.take(at(t + 11min));
}

TEST(PurgeWatch, CountsFillingAndLettingOff) {
    const auto purge = purge_of({0, 0, 60, 80, 5, 70, 80, 3, 2, 80, 4, 40, 80, 80, 80});
    ASSERT_TRUE(purge);
    EXPECT_EQ(purge->cycles, 3);
    EXPECT_EQ(purge->at, at(4min)) << "it began with the first letting off";
}

TEST(PurgeWatch, TakesNoUptakeNoOpeningAndNoNoiseForAPurge) {
    EXPECT_FALSE(purge_of({80, 80, 80, 0, 0, 0})) << "a vessel that was opened";
    EXPECT_FALSE(purge_of({80, 60, 80, 55, 80, 60, 80})) << "pouring, and a regulator that refills";
    EXPECT_FALSE(purge_of({80, 60, 40, 30, 20, 80, 60, 40, 30, 20}, 4min)) << "shaken until it is taken up";
    EXPECT_FALSE(purge_of({3, 0, 4, -1, 3, 0}));
    EXPECT_FALSE(purge_of({}));
}

TEST(PurgeWatch, TellsItOnceAndOnlyWhenItIsOver) {
    PurgeWatch watch;
    Duration t = 0min;
    for (const double kpa : {0.0, 80.0, 2.0, 80.0, 2.0, 80.0}) watch.add(at(t += 1min), kpa);
    EXPECT_FALSE(watch.take(at(t + 1min)));
    EXPECT_TRUE(watch.take(at(t + 10min)));
    EXPECT_FALSE(watch.take(at(t + 11min)));
}

}  // namespace
}  // namespace gyled::estimation::gas
