/// What time it is when the wall is set, slips, or knows nothing.

#include "daemon/pipeline/timekeeper.hpp"

#include <gtest/gtest.h>

namespace gyled::pipeline {
namespace {

using namespace std::chrono_literals;

const Timestamp evening = base::from_rfc3339("2026-03-01T18:00:00Z").value();
constexpr Duration year = 24h * 365;

/// A house with a wall clock that people set. The steady clock began a day before.
class House {
public:
    explicit House(Timestamp wall = evening, Timestamp last_run = {})
        : keeper_{look(wall), last_run, parameters()} {}

    /// Time passes, second by second, with the wall so far off.
    std::optional<base::ClockSet> live(Duration span, Duration off) {
        std::optional<base::ClockSet> set;
        for (Duration end = true_ + span; true_ < end;) {
            true_ += 1s;
            if (const auto now = keeper_.look(look(evening + true_ + off))) set = now;
        }
        return set;
    }
    [[nodiscard]] Duration error() const { return keeper_.at(24h + true_) - (evening + true_); }
    [[nodiscard]] const Timekeeper& keeper() const { return keeper_; }

private:
    static TimekeeperParameters parameters() {
        TimekeeperParameters p;
        p.earliest = evening - 24h * 30;
        return p;
    }
    [[nodiscard]] Timekeeper::Look look(Timestamp wall) const { return {wall, 24h + true_, false}; }

    Duration true_{};
    Timekeeper keeper_;
};

TEST(Timekeeper, FollowsSmallStepsSilently) {
    House house;
    EXPECT_FALSE(house.live(10s, 3s));
    EXPECT_EQ(house.error(), 3s);
    EXPECT_FALSE(house.live(10s, -1s));
    EXPECT_EQ(house.error(), -1s);
    EXPECT_FALSE(house.keeper().last_jump());
}

TEST(Timekeeper, AWallAYearAheadForTenSecondsMovesNothing) {
    House house;
    EXPECT_FALSE(house.live(10s, year));
    EXPECT_EQ(house.error(), 0s);
    EXPECT_EQ(house.keeper().last_jump()->now, ClockJump::Now::doubted);

    EXPECT_FALSE(house.live(10min, 0s));
    EXPECT_EQ(house.error(), 0s);
    ASSERT_TRUE(house.keeper().last_jump());
    EXPECT_EQ(house.keeper().last_jump()->now, ClockJump::Now::over);
    EXPECT_EQ(house.keeper().last_jump()->to, evening + year + 1s);
}

TEST(Timekeeper, ANewTimeThatStandsForAMinuteIsFollowed) {
    for (const Duration off : {Duration{-1h}, Duration{1h}, year}) {
        House house;
        EXPECT_FALSE(house.live(60s, off)) << "the watch counts on";
        EXPECT_EQ(house.error(), 0s);

        const auto set = house.live(5s, off);
        ASSERT_TRUE(set);
        EXPECT_EQ(set->by(), off);
        EXPECT_EQ(set->from, evening + 61s);
        EXPECT_FALSE(set->false_since);
        EXPECT_EQ(house.error(), off);
        EXPECT_EQ(house.keeper().last_jump()->now, ClockJump::Now::followed);
    }
}

TEST(Timekeeper, AWallThatKeepsJumpingIsNeverBelieved) {
    House house;
    for (int i = 1; i < 20; ++i) EXPECT_FALSE(house.live(50s, i * 1h));
    EXPECT_EQ(house.error(), 0s);
}

TEST(Timekeeper, ATimeThatCannotBeIsNeverBelieved) {
    House house;
    EXPECT_FALSE(house.live(1h, -50 * year)) << "1976";
    EXPECT_EQ(house.error(), 0s);
}

TEST(Timekeeper, BootedIn1970ItGoesOnFromTheLastRunAndTakesTheRightTimeAtOnce) {
    const Timestamp last_run = evening - 2h;
    House house{Timestamp{} + 20s, last_run};
    EXPECT_TRUE(house.keeper().is_unset());
    EXPECT_FALSE(house.live(10s, Timestamp{} - evening));
    EXPECT_EQ(house.keeper().at(24h + 10s), last_run + 10s);

    const auto set = house.live(1s, 0s);
    ASSERT_TRUE(set);
    EXPECT_FALSE(house.keeper().is_unset());
    EXPECT_EQ(set->false_since, last_run) << "every moment since was named falsely";
    EXPECT_EQ(house.error(), 0s);
    EXPECT_FALSE(house.keeper().last_jump()) << "a clock that is set for the first time does not jump";
}

TEST(Timekeeper, BootedWithTheTimeOfTheLastShutdownItGoesOnFromTheLastRun) {
    House late{evening, evening + 40min};
    EXPECT_EQ(late.error(), Duration{40min});
    EXPECT_FALSE(late.live(5s, 3h)) << "NTP";
    ASSERT_TRUE(late.live(61s, 3h));
    EXPECT_EQ(late.error(), Duration{3h});

    House right{evening, evening + year};  // the last run was a year ahead
    EXPECT_EQ(right.error(), 0s);
}

TEST(Timekeeper, AnEarlyTimeThatIsSynchronisedIsBelieved) {
    TimekeeperParameters parameters;
    parameters.earliest = evening;
    const Timekeeper keeper{{evening - year, 5s, true}, {}, parameters};
    EXPECT_FALSE(keeper.is_unset());
    EXPECT_EQ(keeper.at(6s), evening - year + 1s);
}

TEST(ClockSet, RenamesWhatCountsAndCorrectsOnlyWhatIsFalse) {
    const base::ClockSet back{.from = evening, .to = evening - 1h};
    EXPECT_EQ(back.renamed(evening - 10min), evening - 70min) << "ten minutes ago, as before";
    EXPECT_EQ(back.renamed(Timestamp{}), Timestamp{}) << "never stays never";
    EXPECT_EQ(back.corrected(evening - 10min), evening - 70min) << "or it would be yet to come";
    EXPECT_EQ(back.corrected(evening - 2h), evening - 2h);

    const base::ClockSet first{.from = evening - 2h, .to = evening, .false_since = evening - 2h - 10s};
    EXPECT_EQ(first.corrected(evening - 2h - 5s), evening - 5s);
    EXPECT_EQ(first.corrected(evening - 3h), evening - 3h) << "from the run before";
}

}  // namespace
}  // namespace gyled::pipeline
