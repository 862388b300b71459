/// What a person types as a moment.

#include "daemon/display/typed_moment.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace gyled::display {
namespace {

using ::testing::HasSubstr;

Display lisbon() {
    Display display = Display::metric();
    display.time_zone = "Europe/Lisbon";  // summer time, UTC+1, from the last Sunday of March at 01:00 UTC
    return display;
}

std::string understood(const std::string& text, const char* now) {
    const auto at = typed_moment(text, lisbon(), *base::from_rfc3339(now));
    return at ? base::to_rfc3339(*at) : at.error();
}

TEST(TypedMoment, IsTheLatestThatClocksShowedSo) {
    EXPECT_EQ(understood("10:42", "2026-07-01T11:00:00Z"), "2026-07-01T09:42:00Z");
    EXPECT_EQ(understood(" 10:42 ", "2026-01-10T11:00:00Z"), "2026-01-10T10:42:00Z");
    EXPECT_EQ(understood("23:50", "2026-01-10T00:10:00Z"), "2026-01-09T23:50:00Z") << "yesterday";
    EXPECT_EQ(understood("9:05", "2026-01-10T11:00:00Z"), "2026-01-10T09:05:00Z");
    // Clocks went back on 25 October 2026 at 01:00 UTC: 01:30 was shown twice, the later of them is meant.
    EXPECT_EQ(understood("01:30", "2026-10-25T12:00:00Z"), "2026-10-25T01:30:00Z");
}

TEST(TypedMoment, CountsBackAndTakesAMomentInFull) {
    EXPECT_EQ(understood("20min ago", "2026-01-10T11:00:00Z"), "2026-01-10T10:40:00Z");
    EXPECT_EQ(understood("1h30min ago", "2026-01-10T11:00:00Z"), "2026-01-10T09:30:00Z");
    EXPECT_EQ(understood("2 d 4 h ago", "2026-01-10T11:00:00Z"), "2026-01-08T07:00:00Z");
    EXPECT_EQ(understood("now", "2026-01-10T11:00:00Z"), "2026-01-10T11:00:00Z");
    EXPECT_EQ(understood("2026-01-09T08:00:00+01:00", "2026-01-10T11:00:00Z"), "2026-01-09T07:00:00Z");
}

TEST(TypedMoment, IsRefusedWhenItIsNone) {
    for (const char* text :
         {"", "soon", "24:00", "10:60", "10:4", "1042", "-1:30", "10:42:99x", "ago", "min ago", "20 ago",
          "20min", "-20min ago", "99999min ago", "10h:20 ago", "yesterday"})
        EXPECT_THAT(understood(text, "2026-01-10T11:00:00Z"), HasSubstr("is no moment")) << text;
    EXPECT_LT(understood(std::string(5000, 'x'), "2026-01-10T11:00:00Z").size(), 200u);
}

TEST(TypedMoment, InAZoneThatNobodyKnowsIsUtc) {
    Display display = Display::metric();
    display.time_zone = "Atlantis/Harbour";
    EXPECT_EQ(*typed_moment("10:42", display, *base::from_rfc3339("2026-01-10T11:00:00Z")),
              *base::from_rfc3339("2026-01-10T10:42:00Z"));
}

}  // namespace
}  // namespace gyled::display
