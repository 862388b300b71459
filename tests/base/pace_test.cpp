/// A rehearsal's time: what is said of it, and how it passes.

#include "daemon/base/pace.hpp"

#include <gtest/gtest.h>

namespace gyled::base {
namespace {

using namespace std::chrono_literals;

const Timestamp eight = from_rfc3339("2026-03-01T08:00:00Z").value();

TEST(Pace, LivesSoManyTimesAsFast) {
    const Pace pace = *Pace::from("60", eight);
    EXPECT_EQ(pace.at(eight), eight);
    EXPECT_EQ(pace.at(eight + 1s), eight + 1min);
    EXPECT_EQ(pace.at(eight - 1h), eight - 1h) << "it has not begun";
    EXPECT_EQ(Pace::from("1", eight)->at(eight + 7h), eight + 7h);
}

TEST(Pace, MayHurryMoreLater) {
    const Pace pace = *Pace::from("60,5.25h:4000,24h:10", eight);
    EXPECT_EQ(pace.at(eight + 5min), eight + 5h);
    EXPECT_EQ(pace.at(eight + 315s), eight + 5h + 15min);
    EXPECT_EQ(pace.at(eight + 316s), eight + 5h + 15min + 4000s);
    const Duration first_day = 315s + Duration{(24h - 5h - 15min) / 1ms / 4000};
    EXPECT_EQ(pace.at(eight + first_day + 10s), eight + 24h + 100s);
}

TEST(Pace, BeginsWhenItSays) {
    const Pace pace = *Pace::from("60@2026-03-01T08:00:00Z", eight + 3h);
    EXPECT_EQ(pace.origin(), eight);
    EXPECT_EQ(pace.at(eight + 1min), eight + 1h);
}

TEST(Pace, IsRefusedWhenItIsNone) {
    for (const char* text :
         {"", "0", "-60", "fast", "1e9", "nan", "inf", "60,", "60,5h", "60,5h:0", "60,h:70", "60,-1h:70",
          "60,5h:70,4h:80", "60,0h:70", "60@", "60@noon", "60 ", "60,9e99h:70"})
        EXPECT_FALSE(Pace::from(text, eight)) << text;
}

TEST(HurriedClock, ShowsOneTimeOnBothFaces) {
    Timestamp wall = eight;
    const Clock real{[&] { return wall; }, [] { return 100h; }, [] { return false; }};
    const Clock quick = hurried(real, *Pace::from("60", eight));

    wall += 2s;
    EXPECT_EQ(quick.wall(), eight + 2min);
    EXPECT_EQ(quick.steady(), quick.wall().time_since_epoch());
}

}  // namespace
}  // namespace gyled::base
