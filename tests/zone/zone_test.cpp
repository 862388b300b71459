#include "daemon/zone/zone.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

namespace gyled::zone {
namespace {

Timestamp utc(const std::string& text) {
    return *base::from_rfc3339(text);
}
LocalTime wall(const std::string& text) {
    return LocalTime{utc(text + 'Z').time_since_epoch()};
}
const std::string lisbon = "Europe/Lisbon";

// The European Union's clocks change on the last Sundays of March and October at 01:00 UTC (Directive
// 2000/84/EC): in 2026 on 29 March and 25 October.
TEST(Zone, SaysWhatClocksShow) {
    EXPECT_EQ(shown_at(utc("2026-01-15T12:00:00Z"), lisbon), wall("2026-01-15T12:00:00"));
    EXPECT_EQ(shown_at(utc("2026-07-15T12:00:00Z"), lisbon), wall("2026-07-15T13:00:00"));
}

TEST(Zone, FindsEachMomentAgainWhenItIsAskedThen) {
    const Timestamp begin = utc("2026-03-28T00:17:00Z");
    for (int hour = 0; hour < 24 * 366; ++hour) {
        const Timestamp t = begin + std::chrono::hours{hour};
        EXPECT_EQ(moment_of(shown_at(t, lisbon), lisbon, t), t) << base::to_rfc3339(t);
    }
}

TEST(Zone, OfTwoMomentsTakesTheLatestThatIsNotAfter) {
    const LocalTime twice = wall("2026-10-25T01:30:00");
    const Timestamp summer = utc("2026-10-25T00:30:00Z"), winter = utc("2026-10-25T01:30:00Z");
    EXPECT_EQ(moment_of(twice, lisbon, winter), winter);
    EXPECT_EQ(moment_of(twice, lisbon, winter - Duration{1}), summer);
    EXPECT_EQ(moment_of(twice, lisbon, summer - std::chrono::hours{5}), summer)
        << "of two later ones the earlier";
}

TEST(Zone, AGapIsOfAClockThatDidNotGoForward) {
    EXPECT_EQ(moment_of(wall("2026-03-29T01:30:00"), lisbon, utc("2026-03-29T01:30:00Z")),
              utc("2026-03-29T01:30:00Z"));
}

TEST(Zone, KnowsWhatItDoesNotKnow) {
    EXPECT_TRUE(known("UTC"));
    EXPECT_FALSE(known("Atlantis/Harbour"));
    EXPECT_THROW((void)moment_of(wall("2026-03-29T01:30:00"), "Atlantis/Harbour", {}), std::runtime_error);
}

}  // namespace
}  // namespace gyled::zone
