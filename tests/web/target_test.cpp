/// Request targets, taken apart.

#include "daemon/web/target.hpp"

#include <gtest/gtest.h>

namespace gyled::web {
namespace {

using Path = std::vector<std::string>;

TEST(Target, IsAPathAndAQuery) {
    const auto target = parse_target("/api/vessels/n%6Frth?quantity=gravity&note=a+b%20c&flag");
    ASSERT_TRUE(target);
    EXPECT_EQ(target->path, (Path{"api", "vessels", "north"}));
    EXPECT_EQ(target->query.at("quantity"), "gravity");
    EXPECT_EQ(target->query.at("note"), "a b c");
    EXPECT_EQ(target->query.at("flag"), "");
}

TEST(Target, RootHasNoSegments) {
    EXPECT_EQ(parse_target("/")->path, Path{});
    EXPECT_EQ(parse_target("/?a=1&")->query.at("a"), "1");
}

TEST(Target, KeepsAPlusInAPath) {
    EXPECT_EQ(parse_target("/a+b")->path, Path{"a+b"});
}

TEST(Target, RefusesWhatCouldMeanTwoThings) {
    for (const char* bad : {"", "api", "//", "/a/", "/a//b", "/.", "/..", "/a/../b", "/%2e%2E", "/a%2Fb",
                            "/a%", "/a%4", "/a%4g", "/a%00", "/a\x7f", "/a?b=%0a", "/?a=1&a=2", "/?%=1"})
        EXPECT_FALSE(parse_target(bad)) << bad;
}

}  // namespace
}  // namespace gyled::web
