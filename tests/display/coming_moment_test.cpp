/// Moments to come, as a person types them.

#include "daemon/display/coming_moment.hpp"

#include <gmock/gmock.h>

namespace gyled::display {
namespace {

using namespace std::chrono_literals;

/// A Friday; clocks in Lisbon go forward on Sunday 29 March 2026 at 01:00.
const Timestamp now = *base::from_rfc3339("2026-03-27T18:00:00Z");

std::string said(std::string_view text, const char* zone = "UTC") {
    Display display;
    display.time_zone = zone;
    const auto at = coming_moment(text, display, now);
    return at ? base::to_rfc3339(*at) : at.error();
}

TEST(ComingMoment, IsTheNextThatClocksShow) {
    EXPECT_EQ(said("now"), "2026-03-27T18:00:00Z");
    EXPECT_EQ(said("+6h"), "2026-03-28T00:00:00Z");
    EXPECT_EQ(said("+90min"), "2026-03-27T19:30:00Z");
    EXPECT_EQ(said("20:00"), "2026-03-27T20:00:00Z");
    EXPECT_EQ(said("17:00"), "2026-03-28T17:00:00Z") << "tomorrow";
    EXPECT_EQ(said("Fri20:00"), "2026-03-27T20:00:00Z");
    EXPECT_EQ(said("Fri 17:30"), "2026-04-03T17:30:00Z") << "it is past for today";
    EXPECT_EQ(said("Sun20:00", "Europe/Lisbon"), "2026-03-29T19:00:00Z") << "summer time by then";
    EXPECT_EQ(said("2026-05-01T00:00:00+02:00"), "2026-04-30T22:00:00Z");
}

TEST(ComingMoment, RefusesNonsenseInWords) {
    for (const char* const text : {"", "tomorrow", "25:00", "20:60", "20:0", "Fri", "+", "+6", "+h", "+6y",
                                   "-6h", "+99999d", "20:00:00"})
        EXPECT_THAT(said(text), testing::HasSubstr("no moment to come")) << text;
}

}  // namespace
}  // namespace gyled::display
