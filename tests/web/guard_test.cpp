/// Who may ask and who may write.

#include "daemon/web/guard.hpp"

#include <nlohmann/json.hpp>

#include "tests/web/live_server.hpp"
#include "tests/web/wire.hpp"

namespace gyled::web {
namespace {

using namespace std::chrono_literals;
using Verdict = TokenCheck::Verdict;

const TokenCheck::Time noon{};

TEST(Host, IsOursWhenItIsLocalhostAnAddressOrConfigured) {
    const std::vector<std::string> names{"cellar.example"};
    for (const char* ours :
         {"localhost", "LOCALHOST:8075", "127.0.0.1", "127.0.0.1:8075", "192.168.1.20:8075", "[::1]",
          "[fe80::1]:8075", "cellar.example", "Cellar.Example.:443"})
        EXPECT_TRUE(host_is_ours(ours, names)) << ours;
    for (const char* foreign : {"", "evil.example", "evil.example:8075", "localhost.evil.example",
                                "cellar.example.evil", "[::1", "[evil]", "127.0.0.1.evil.example",
                                "127.0.0.1:port", "[::1]x", "::1", ":8075", "localhost:80750000"})
        EXPECT_FALSE(host_is_ours(foreign, names)) << foreign;
}

TEST(Token, OpensOnlyToItself) {
    TokenCheck check{"word"};
    EXPECT_EQ(check.check("Bearer word", "192.0.2.1", noon), Verdict::accepted);
    EXPECT_EQ(check.check("bearer word", "192.0.2.1", noon), Verdict::accepted)
        << "the scheme's case is free";
    EXPECT_EQ(check.check("", "192.0.2.1", noon), Verdict::missing);
    for (const char* wrong : {"Bearer Word", "Bearer wor", "Bearer words", "Bearer ", "Basic word"})
        EXPECT_EQ(TokenCheck{"word"}.check(wrong, "192.0.2.1", noon), Verdict::wrong) << wrong;
}

TEST(Token, OpensToNobodyWhenThereIsNone) {
    TokenCheck check{""};
    EXPECT_EQ(check.check("Bearer ", "192.0.2.1", noon), Verdict::no_writing);
}

TEST(Token, MakesGuessersWaitAMinute) {
    TokenCheck check{"word"};
    for (int guess = 0; guess < TokenCheck::tries; ++guess)
        EXPECT_EQ(check.check("Bearer guess", "192.0.2.1", noon), Verdict::wrong);

    EXPECT_EQ(check.check("Bearer word", "192.0.2.1", noon + 59s), Verdict::wait) << "even when right";
    EXPECT_EQ(check.check("Bearer word", "192.0.2.2", noon), Verdict::accepted) << "others are not held up";
    EXPECT_EQ(check.check("Bearer word", "192.0.2.1", noon + 60s), Verdict::accepted);
}

TEST(Token, CountsOneHouseholdsManyAddressesAsOne) {
    TokenCheck check{"word"};
    for (int guess = 0; guess < TokenCheck::tries; ++guess)
        EXPECT_EQ(check.check("Bearer guess", "2001:db8::" + std::to_string(guess + 1), noon),
                  Verdict::wrong);

    EXPECT_EQ(check.check("Bearer word", "2001:db8::99", noon), Verdict::wait);
    EXPECT_EQ(check.check("Bearer word", "2001:db8:0:1::99", noon), Verdict::accepted);
}

TEST(Doors, TcpAsksForTheTokenOfAWriter) {
    LiveServer live;
    const auto post = [&](const std::string& headers) {
        Wire wire = Wire::tcp(live.port);
        wire.say(request("POST", "/api/vessels/north/stage", json_headers() + headers, R"({"next": true})"));
        return wire.hear();
    };

    const Answer without = post("");
    EXPECT_EQ(without.status, 401);
    EXPECT_EQ(without.headers.at("www-authenticate"), "Bearer realm=\"gyled\"");
    EXPECT_EQ(without.headers.at("content-type"), "application/problem+json");
    for (int guess = 0; guess < TokenCheck::tries; ++guess) EXPECT_EQ(post(bearer("guess")).status, 401);
    const Answer tired = post(bearer(token));
    EXPECT_EQ(tired.status, 429);
    EXPECT_EQ(tired.headers.at("retry-after"), "60");
    EXPECT_TRUE(live.in_loop([&] { return live.cellar.commands.empty(); }));
}

TEST(Doors, TcpIsReadOnlyWithoutAConfiguredToken) {
    LiveServer live{{}, ""};
    Wire wire = Wire::tcp(live.port);
    wire.say(request("POST", "/api/vessels/north/stage", json_headers() + bearer(""), R"({"next": true})"));
    EXPECT_EQ(wire.hear().status, 403);
}

TEST(Doors, TheSocketFileNeedsNoToken) {
    LiveServer live;
    Wire wire = Wire::unix_socket(live.folder.file("s"));
    wire.say(request("POST", "/api/vessels/north/stage", json_headers(), R"({"next": true})"));
    EXPECT_EQ(wire.hear().status, 200);
}

TEST(Doors, TcpAnswersToItsOwnNamesOnly) {
    LiveServer live;
    const auto get = [&](const std::string& host_line) {
        Wire wire = Wire::tcp(live.port);
        wire.say("GET /health HTTP/1.1\r\n" + host_line + "\r\n");
        return wire.hear().status;
    };
    EXPECT_EQ(get("Host: cellar.example:8075\r\n"), 200);
    EXPECT_EQ(get("Host: 127.0.0.1\r\n"), 200);
    std::array<char, 256> own{};
    ASSERT_EQ(::gethostname(own.data(), own.size() - 1), 0);
    EXPECT_EQ(get("Host: " + std::string{own.data()} + ":8075\r\n"), 200);
    EXPECT_EQ(get("Host: evil.example\r\n"), 421);
    EXPECT_EQ(get(""), 421);
}

}  // namespace
}  // namespace gyled::web
