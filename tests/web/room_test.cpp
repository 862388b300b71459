/// Who gives way at a full door.

#include "daemon/web/room.hpp"

#include <gtest/gtest.h>

namespace gyled::web {
namespace {

using namespace std::chrono_literals;

constexpr Occupant::Time noon{};

Occupant idle(const std::string& from, std::chrono::seconds since, bool has_been_answered = false) {
    return {from, has_been_answered, noon + since};
}
Occupant busy(const std::string& from) {
    return {from, true, std::nullopt};
}

TEST(Room, IsMadeByTheOneThatIsIdleLongest) {
    EXPECT_EQ(who_gives_way({idle("a", 3s), idle("a", 1s), idle("a", 2s)}), 1u);
}

TEST(Room, IsNotMadeByWhoeverIsBeingAnswered) {
    EXPECT_EQ(who_gives_way({busy("a"), idle("a", 9s), busy("a")}), 1u);
    EXPECT_EQ(who_gives_way({busy("a"), busy("b")}), std::nullopt);
    EXPECT_EQ(who_gives_way({}), std::nullopt);
}

TEST(Room, IsMadeByACrowdAndNotByTheOneWhoCameAlone) {
    EXPECT_EQ(who_gives_way({idle("person", 0s), idle("crowd", 5s), idle("crowd", 4s), idle("crowd", 6s)}),
              2u);
    EXPECT_EQ(who_gives_way({idle("person", 0s), busy("crowd"), busy("crowd"), idle("crowd", 6s)}), 3u)
        << "its busy ones count";
}

TEST(Room, IsRatherMadeByWhoeverNeverAsked) {
    EXPECT_EQ(who_gives_way({idle("proxy", 0s, true), idle("proxy", 7s)}), 1u);
}

}  // namespace
}  // namespace gyled::web
