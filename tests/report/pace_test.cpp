/// How a batch went beside earlier ones. The figures are worked by hand.

#include "daemon/report/pace.hpp"

#include <gmock/gmock.h>

namespace gyled::report {
namespace {

/// So many percent an hour up to an end, every three hours of six days.
Course steady(double percent_per_hour, double end) {
    Course out;
    for (double h = 0; h <= 144; h += 3) {
        out.hours.push_back(h);
        out.percent.push_back(std::min(percent_per_hour * h, end));
    }
    return out;
}

TEST(Pace, SaysHowFarBehindTheUsualABatchIs) {
    // 72 % is nine tenths of 80: this one is there after 72 h, the others after 60, 63.16 and 66 h or so.
    const auto found = pace(steady(1.0, 80), {steady(1.2, 80), steady(1.14, 80), steady(1.09, 80)});

    ASSERT_TRUE(found);
    EXPECT_DOUBLE_EQ(found->percent, 72);
    EXPECT_NEAR(found->hours, 72, 1e-9);
    EXPECT_NEAR(found->usual, 72 / 1.14, 1e-9);
    EXPECT_EQ(words(*found),
              "It was 72 % attenuated 72 h after pitching, 9 h behind your usual (63 h; 60 h to 66 h in 3 "
              "batches).");
}

TEST(Pace, ComparesARunningBatchWhereItStands) {
    Course half = steady(1.0, 80);
    half.hours.resize(11);  // 30 h, 30 %
    half.percent.resize(11);

    const auto found = pace(half, {steady(2.0, 75)});

    ASSERT_TRUE(found);
    EXPECT_DOUBLE_EQ(found->percent, 27);
    EXPECT_NEAR(found->behind(), 13.5, 1e-9);
    EXPECT_THAT(words(*found), testing::HasSubstr("14 h behind your usual (14 h in the one batch before)"));
}

TEST(Pace, IsSilentWhenNothingCanBeCompared) {
    EXPECT_FALSE(pace(steady(1.0, 80), {})) << "no batch before";
    EXPECT_FALSE(pace({}, {steady(1.0, 80)})) << "nothing is known of this one";
    EXPECT_FALSE(pace(steady(0.01, 2), {steady(1.0, 80)})) << "it has hardly begun";
    EXPECT_FALSE(pace(steady(1.0, 80), {Course{}})) << "nothing is known of the other";
}

TEST(Pace, IsNeverNegativeInWords) {
    const auto found = pace(steady(2.0, 80), {steady(1.0, 80)});
    ASSERT_TRUE(found);
    EXPECT_THAT(words(*found), testing::HasSubstr("36 h ahead of your usual"));
    EXPECT_THAT(words(*pace(steady(1.0, 80), {steady(1.0, 80)})), testing::HasSubstr("at your usual pace"));
}

TEST(Envelope, HoldsWhatTheEarlierBatchesWentThrough) {
    const Envelope e = envelope({steady(1.0, 80), steady(2.0, 80), steady(0.5, 60)}, 24, 12);
    EXPECT_THAT(e.hours, testing::ElementsAre(0, 12, 24));
    EXPECT_THAT(e.low, testing::ElementsAre(0, 6, 12));
    EXPECT_THAT(e.middle, testing::ElementsAre(0, 12, 24));
    EXPECT_THAT(e.high, testing::ElementsAre(0, 24, 48));
}

TEST(Envelope, BelievesNoLineOverADayOfSilence) {
    const Course silent{.hours = {0, 30}, .percent = {0, 30}};
    EXPECT_FALSE(silent.at(15));
    EXPECT_TRUE(silent.at(30));
    EXPECT_FALSE(silent.at(31)) << "nothing beyond the end";
    EXPECT_THAT(envelope({silent}, 24, 6).hours, testing::ElementsAre(0));
}

TEST(Course, BeginsAtPitching) {
    const Timestamp pitched{std::chrono::hours{100}};
    const cellar::Trend trend{
        .at = {pitched - std::chrono::hours{1}, pitched, pitched + std::chrono::hours{2}},
        .value = {50, 0, NAN},
        .low = {0, 0, 0},
        .high = {0, 0, 0}};
    EXPECT_THAT(course(trend, pitched).hours, testing::ElementsAre(0)) << "not before, and no gap";
}

}  // namespace
}  // namespace gyled::report
