// A span of time in the words of a person. 5 March 2026 was a Thursday.
#include "daemon/display/range.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace gyled::display {
namespace {

double at(std::string_view text) {
    return base::unix_seconds(base::from_rfc3339(text).value());
}
std::string range(std::string_view low, std::string_view high) {
    return range_text(Display::metric(), at(low), at(high),
                      base::from_rfc3339("2026-03-05T10:00:00Z").value());
}

TEST(Range, TellsPartsOfDaysWhileItIsNarrow) {
    EXPECT_EQ(range("2026-03-06T22:30:00Z", "2026-03-08T11:00:00Z"), "Friday night to Sunday morning");
    EXPECT_EQ(range("2026-03-07T02:00:00Z", "2026-03-07T13:00:00Z"), "Friday night to Saturday afternoon");
    EXPECT_EQ(range("2026-03-06T12:10:00Z", "2026-03-06T17:50:00Z"), "Friday afternoon");
}

TEST(Range, TellsDaysWhenItIsWideAndDatesWhenItIsFar) {
    EXPECT_EQ(range("2026-03-06T22:30:00Z", "2026-03-10T11:00:00Z"), "Friday to Tuesday");
    EXPECT_EQ(range("2026-03-10T22:30:00Z", "2026-03-15T11:00:00Z"), "Tuesday to Sun 15 Mar");
    EXPECT_EQ(range("2026-03-04T22:30:00Z", "2026-03-12T11:00:00Z"), "Wednesday to Thu 12 Mar")
        << "not the Thursday that is today";
}

TEST(Range, MayHaveNoEnd) {
    EXPECT_EQ(range("2026-03-06T22:30:00Z", "2027-03-10T11:00:00Z"), "from Friday on");
    EXPECT_EQ(
        range_text(Display::metric(), at("2026-03-06T22:30:00Z"), std::numeric_limits<double>::infinity(),
                   base::from_rfc3339("2026-03-05T10:00:00Z").value()),
        "from Friday on");
}

TEST(Range, FollowsThePersonsClock) {
    Display display = Display::metric();
    display.time_zone = "Asia/Tokyo";  // UTC+9

    EXPECT_EQ(range_text(display, at("2026-03-06T15:00:00Z"), at("2026-03-07T15:00:00Z"),
                         base::from_rfc3339("2026-03-05T10:00:00Z").value()),
              "Friday night to Saturday night");
}

}  // namespace
}  // namespace gyled::display
