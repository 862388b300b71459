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

/// RFC 9112, 3.2.2, and RFC 9110, 4.2: the scheme in letters of any case; an empty path is "/".
TEST(Target, InAbsoluteFormNamesItsHost) {
    const auto is = [](const char* text, std::optional<std::string> host, const char* target) {
        const Addressed found = addressed(text);
        EXPECT_EQ(found.host, host) << text;
        EXPECT_EQ(found.target, target) << text;
    };
    is("http://cellar.example/api/vessels?a=1", "cellar.example", "/api/vessels?a=1");
    is("HTTPS://[2001:db8::1]:8443/", "[2001:db8::1]:8443", "/");
    is("http://cellar.example", "cellar.example", "/");
    is("http://cellar.example?a=/", "cellar.example", "/?a=/");
    is("http:///x", "", "/x");
    is("/http://cellar.example/", std::nullopt, "/http://cellar.example/");
    is("ftp://cellar.example/", std::nullopt, "ftp://cellar.example/");
    is("*", std::nullopt, "*");
    is("", std::nullopt, "");
    is("http:/", std::nullopt, "http:/");
}

}  // namespace
}  // namespace gyled::web
