/// What is deleted, and when: no clock makes readings old that are not.

#include <gtest/gtest.h>

#include <random>

#include "daemon/app/housekeeping.hpp"

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using base::Duration;

constexpr Duration year = 24h * 365;
const base::Timestamp evening = base::from_rfc3339("2026-03-01T18:00:00Z").value();
const HousekeepingParameters keeps_400_days;

TEST(PruneTime, IsFourHundredDaysBeforeWhatWasLived) {
    const PruneTime prune{evening - 5min, 1h, keeps_400_days};
    EXPECT_EQ(prune.before(evening + 24h, 25h), evening - 5min + 24h - 24h * 400);
}

TEST(PruneTime, IsNotNowInTheFirstHourOfARunAndAfterTheClockWasSet) {
    PruneTime prune{evening, 1h, keeps_400_days};
    EXPECT_FALSE(prune.before(evening + 59min, 1h + 59min));
    EXPECT_TRUE(prune.before(evening + 1h, 2h));

    prune.clock_was_set(5h);
    EXPECT_FALSE(prune.before(evening + 4h + 59min, 5h + 59min));
    EXPECT_TRUE(prune.before(evening + 5h, 6h));
}

TEST(PruneTime, AClockThreeYearsAheadForAsLongAsItLikesMakesNothingOld) {
    const PruneTime prune{evening, 0h, keeps_400_days};
    EXPECT_EQ(prune.before(evening + 3 * year, 2h), evening + 2h - 24h * 400);
    EXPECT_EQ(prune.before(evening + 3 * year, 24h * 30), evening + 24h * 30 - 24h * 400);
}

TEST(PruneTime, AStoreThatEndsInTheFutureIsPrunedByTheWatchsTime) {
    const PruneTime prune{evening + 3 * year, 0h, keeps_400_days};
    EXPECT_EQ(prune.before(evening, 2h), evening - 24h * 400);
}

}  // namespace
}  // namespace gyled::app
