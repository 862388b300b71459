/// How long a sensor may be silent, learnt from how often it speaks.

#include "daemon/base/freshness.hpp"

#include <gtest/gtest.h>

namespace gyled::base {
namespace {

using namespace std::chrono_literals;

Cadence speaking(Duration every, int times) {
    Cadence cadence;
    for (int i = 0; i < times; ++i) cadence.note(Timestamp{every * i});
    return cadence;
}

TEST(Cadence, OfAnHourlySensorBearsOneLostReport) {
    const Cadence hourly = speaking(1h, 10);

    EXPECT_GT(hourly.silent_after(), 2h) << "one report lost is no silence";
    EXPECT_LT(hourly.silent_after(), 3h) << "two are";
}

TEST(Cadence, OfASensorThatSpeaksEachMinuteMissesItWithinTenMinutes) {
    EXPECT_EQ(speaking(1min, 100).silent_after(), 10min);
}

TEST(Cadence, IsNotBelievedBeforeItIsKnown) {
    EXPECT_EQ(Cadence{}.silent_after(), 45min);
    EXPECT_EQ(speaking(1h, 2).silent_after(), 45min);
}

TEST(Cadence, LearnsNoPatienceFromAnOutage) {
    Cadence cadence = speaking(10min, 50);
    const Duration before = cadence.silent_after();

    cadence.note(*cadence.last + 72h);

    EXPECT_LT(cadence.silent_after(), before * 3 / 2);
}

TEST(Cadence, IsTaughtNothingByAnOlderReading) {
    Cadence cadence = speaking(10min, 50);
    const Cadence before = cadence;

    cadence.note(*cadence.last - 1min);
    cadence.note(*cadence.last);

    EXPECT_EQ(cadence, before);
}

}  // namespace
}  // namespace gyled::base
