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

/// RFC 9112, 3.2: a Host line whose value is no host is malformed.
TEST(Host, MayBeMalformed) {
    for (const char* well :
         {"", "localhost", "cellar.example:443", "[::1]:8075", "a_b.example", "%41.example"})
        EXPECT_TRUE(is_host_value(well)) << well;
    for (const char* ill : {"two words", "http://cellar.example", "a/b", "user@host", "a\tb", "\xff", "<b>"})
        EXPECT_FALSE(is_host_value(ill)) << ill;
}

TEST(Neighbourhood, IsAHouseholdAndNotOneOfItsAddresses) {
    EXPECT_EQ(neighbourhood("192.0.2.1"), "192.0.2.1");
    EXPECT_EQ(neighbourhood("2001:db8::1"), neighbourhood("2001:db8::2"));
    EXPECT_NE(neighbourhood("2001:db8::1"), neighbourhood("2001:db8:0:1::1"));
    EXPECT_EQ(neighbourhood("::ffff:192.0.2.1"), "192.0.2.1") << "IPv4 that came through an IPv6 socket";
    EXPECT_EQ(neighbourhood("no address"), "no address");
}

TEST(Token, OpensOnlyToItself) {
    TokenCheck check{"word"};
    EXPECT_EQ(check.check("beaRER word", "192.0.2.1", noon).verdict, Verdict::accepted)
        << "RFC 9110: any case";
    EXPECT_EQ(check.check("Bearer word", "192.0.2.1", noon).verdict, Verdict::accepted);
    EXPECT_EQ(check.check("bearer word", "192.0.2.1", noon).verdict, Verdict::accepted)
        << "the scheme's case is free";
    EXPECT_EQ(check.check("", "192.0.2.1", noon).verdict, Verdict::missing);
    for (const char* wrong : {"Bearer Word", "Bearer wor", "Bearer words", "Bearer ", "Basic word"})
        EXPECT_EQ(TokenCheck{"word"}.check(wrong, "192.0.2.1", noon).verdict, Verdict::wrong) << wrong;
}

TEST(Token, OpensToNobodyWhenThereIsNone) {
    TokenCheck check{""};
    EXPECT_EQ(check.check("Bearer ", "192.0.2.1", noon).verdict, Verdict::no_writing);
}

/// So many guesses from so many addresses; the last answer.
TokenCheck::Answer guess(TokenCheck& check, int guesses, const std::string& address,
                         TokenCheck::Time at = noon) {
    TokenCheck::Answer last;
    for (int i = 0; i < guesses; ++i) last = check.check("Bearer guess", address, at);
    return last;
}

TEST(Token, PassesAtOnceWhateverSomebodyElseBehindTheSameAddressGuesses) {
    TokenCheck check{"word"};
    guess(check, 10'000, "192.0.2.1");

    for (int i = 0; i < 3; ++i) {
        const auto answer = check.check("Bearer word", "192.0.2.1", noon);
        EXPECT_EQ(answer.verdict, Verdict::accepted);
        EXPECT_EQ(answer.held_back, 0ms);
    }
    EXPECT_EQ(check.wrong(), 10'000u);
}

TEST(Token, HoldsBackTheAnswerToGuessesLongerAndLonger) {
    TokenCheck check{"word"};
    EXPECT_EQ(guess(check, 5, "192.0.2.1").held_back, 0ms) << "anybody mistypes";
    EXPECT_EQ(guess(check, 1, "192.0.2.1").held_back, 500ms);
    EXPECT_EQ(guess(check, 1, "192.0.2.1").held_back, 1s);
    EXPECT_EQ(guess(check, 1000, "192.0.2.1").held_back, 8s);
    EXPECT_EQ(guess(check, 1, "192.0.2.2").verdict, Verdict::wrong);
    EXPECT_EQ(guess(check, 1, "192.0.2.1", noon + 60s).held_back, 0ms) << "forgotten after a quiet minute";
}

TEST(Token, CountsOneHouseholdsManyAddressesAsOne) {
    TokenCheck check{"word"};
    for (int i = 1; i <= 5; ++i) guess(check, 1, "2001:db8::" + std::to_string(i));

    EXPECT_GT(guess(check, 1, "2001:db8::99").held_back, 0ms);
    EXPECT_EQ(guess(check, 1, "2001:db8:0:1::99").held_back, 0ms);
}

TEST(Token, CountsGuessersWithAnAddressForEachGuessToo) {
    TokenCheck check{"word"};
    TokenCheck::Answer last;
    for (int i = 0; i < 100'000; ++i)
        last = guess(check, 1,
                     "10." + std::to_string(i / 65536) + "." + std::to_string(i / 256 % 256) + "." +
                         std::to_string(i % 256));

    EXPECT_EQ(last.held_back, 8s);
    EXPECT_EQ(check.check("Bearer word", "10.0.0.1", noon).verdict, Verdict::accepted);
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
    EXPECT_EQ(post(bearer("guess")).status, 401);
    EXPECT_TRUE(live.in_loop([&] { return live.cellar.commands.empty(); }));
    EXPECT_EQ(post(bearer(token)).status, 200);
}

TEST(Doors, TheRightTokenPassesWhileAGuesserWaitsForAnswers) {
    LiveServer live;
    const auto guess = [&] {
        Wire wire = Wire::tcp(live.port);
        wire.say(request("POST", "/api/vessels/north/stage", json_headers() + bearer("guess"),
                         R"({"next": true})"));
        return wire;
    };
    std::vector<Wire> held;
    for (int i = 0; i < 5; ++i) EXPECT_EQ(guess().hear().status, 401);
    for (int i = 0; i < 20; ++i) held.push_back(guess());

    Wire owner = Wire::tcp(live.port);
    owner.say(
        request("POST", "/api/vessels/north/stage", json_headers() + bearer(token), R"({"next": true})"));
    EXPECT_EQ(owner.hear().status, 200);
    EXPECT_EQ(held[0].hear().status, 401) << "half a second later";
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
    EXPECT_EQ(get("Host:\r\n"), 421);
}

/// RFC 9112, 3.2: 400 to any HTTP/1.1 request without Host, with more than one, or with one that is
/// malformed.
TEST(Doors, EachRequestNamesItsHostOnce) {
    LiveServer live;
    const auto get = [&](Wire wire, const std::string& host_lines, const char* version = "1.1") {
        wire.say("GET /health HTTP/" + std::string{version} + "\r\n" + host_lines + "\r\n");
        const std::string line = wire.hear_until("\r\n");  // of either version
        return line.size() > 12 ? std::stoi(line.substr(9, 3)) : 0;
    };
    const auto tcp = [&] { return Wire::tcp(live.port); };
    const auto local = [&] { return Wire::unix_socket(live.folder.file("s")); };
    for (const std::string lines :
         {"", "Host: localhost\r\nHost: localhost\r\n", "Host: localhost\r\nhost: evil.example\r\n",
          "Host: local host\r\n", "Host: http://localhost\r\n"}) {
        EXPECT_EQ(get(tcp(), lines), 400) << lines;
        EXPECT_EQ(get(local(), lines), 400) << lines;
    }
    EXPECT_EQ(get(local(), "", "1.0"), 200) << "HTTP/1.0 knew no Host";
    EXPECT_EQ(get(tcp(), "", "1.0"), 421) << "but then nobody knows whose page asks";
}

/// RFC 9112, 3.2.2: a server accepts the absolute form, and then ignores the Host line. RFC 9110, 4.2: an
/// empty host, and a user's name in front of it, are errors.
TEST(Doors, ATargetInAbsoluteFormIsAnsweredAndItsHostIsTheOneThatCounts) {
    LiveServer live;
    const auto get = [&](const std::string& target, const std::string& host = "localhost") {
        Wire wire = Wire::tcp(live.port);
        wire.say("GET " + target + " HTTP/1.1\r\nHost: " + host + "\r\n\r\n");
        return wire.hear().status;
    };
    EXPECT_EQ(get("http://localhost/api/vessels/north"), 200);
    EXPECT_EQ(get("http://cellar.example:8075"), 200);
    EXPECT_EQ(get("http://cellar.example/api/vessels/nowhere"), 404);
    EXPECT_EQ(get("http://localhost/health", "evil.example"), 200);
    EXPECT_EQ(get("http://evil.example/health"), 421);
    EXPECT_EQ(get("http:///health"), 400);
    EXPECT_EQ(get("http://person@localhost/health"), 400);
    EXPECT_EQ(get("ftp://localhost/health"), get("health")) << "no form that we know";

    Wire local = Wire::unix_socket(live.folder.file("s"));
    local.say("GET http://anybody/health HTTP/1.1\r\nHost: anybody\r\n\r\n");
    EXPECT_EQ(local.hear().status, 200);
}

}  // namespace
}  // namespace gyled::web
