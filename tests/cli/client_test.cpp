/// The little client that the command line uses.

#include "daemon/cli/client.hpp"

#include <gmock/gmock.h>

#include <boost/asio/write.hpp>
#include <nlohmann/json.hpp>
#include <thread>

#include "tests/web/live_server.hpp"

namespace gyled::cli {
namespace {

using namespace std::chrono_literals;
using web::LiveServer;
using web::ScratchFolder;

TEST(Client, AsksAndIsAnswered) {
    LiveServer live;
    const auto answer = ask(live.folder.file("s"), {.target = "/api/vessels/north"});
    ASSERT_TRUE(answer) << answer.error();
    EXPECT_EQ(answer->status, 200);
    EXPECT_EQ(answer->content_type, "application/json");
    EXPECT_EQ(nlohmann::json::parse(answer->body)["id"], "north");
}

TEST(Client, Commands) {
    LiveServer live;
    const auto answer =
        ask(live.folder.file("s"),
            {.method = "POST", .target = "/api/vessels/north/stage", .body = R"({"next": true})"});
    ASSERT_TRUE(answer) << answer.error();
    EXPECT_EQ(answer->status, 200);
    EXPECT_EQ(live.in_loop([&] { return live.cellar.commands.size(); }), 1u);
}

TEST(Client, HearsAProblemAsAnAnswer) {
    LiveServer live;
    const auto answer = ask(live.folder.file("s"), {.target = "/api/vessels/west"});
    ASSERT_TRUE(answer);
    EXPECT_EQ(answer->status, 404);
    EXPECT_EQ(answer->content_type, "application/problem+json");
}

TEST(Client, SaysInWordsThatNobodyIsThere) {
    const ScratchFolder folder;
    const auto answer = ask(folder.file("nobody"), {.target = "/health"});
    ASSERT_FALSE(answer);
    EXPECT_EQ(answer.error(), "there is no socket " + folder.file("nobody") +
                                  ": gyled is not running, or its [web] socket is another (see --config). "
                                  "Nobody watches the vessels while it is not running.");
    EXPECT_FALSE(ask(folder.file(std::string(200, 'x')), {.target = "/health"}))
        << "a path no socket can have";
    EXPECT_FALSE(ask("", {.target = "/health"}));
}

TEST(Client, DoesNotWaitForEver) {
    LiveServer live;
    boost::asio::io_context loop;
    const std::string path = live.folder.file("mute");
    const boost::asio::local::stream_protocol::acceptor mute{loop, {path}};
    const auto answer = ask(path, {.target = "/health", .timeout = 30ms});
    ASSERT_FALSE(answer);
    EXPECT_EQ(answer.error(), "gyled on " + path +
                                  " has not answered within 0.03s: it hangs, or the machine is overloaded. "
                                  "Look at the vessels yourself.");
}

TEST(Client, TellsADeadDaemonsSocketFromOneThatHangsUp) {
    const ScratchFolder folder;
    boost::asio::io_context loop;
    const std::string path = folder.file("s");
    using local = boost::asio::local::stream_protocol;
    { const local::acceptor dead{loop, {path}}; }
    EXPECT_THAT(ask(path, {.target = "/health"}).error(),
                ::testing::HasSubstr("was left behind by a gyled that is gone"));

    local::acceptor curt{loop, {folder.file("curt")}};
    std::thread hangs_up{[&] { local::socket{curt.accept()}; }};
    EXPECT_THAT(ask(folder.file("curt"), {.target = "/health"}).error(),
                ::testing::AnyOf(::testing::HasSubstr("hung up without an answer"),
                                 ::testing::HasSubstr("talking to")));
    hangs_up.join();
}

TEST(Client, SaysInWordsThatAnAnswerIsNoHttp) {
    const ScratchFolder folder;
    boost::asio::io_context loop;
    using local = boost::asio::local::stream_protocol;
    local::acceptor babbler{loop, {folder.file("b")}};
    std::thread babbles{[&] {
        local::socket socket = babbler.accept();
        boost::asio::write(socket, boost::asio::buffer(std::string_view{"warm beer\r\n\r\n"}));
    }};
    EXPECT_THAT(ask(folder.file("b"), {.target = "/health"}).error(), ::testing::HasSubstr("failed"));
    babbles.join();
}

TEST(Client, RefusesAnEndlessAnswer) {
    LiveServer live;
    EXPECT_FALSE(ask(live.folder.file("s"), {.target = "/api/events", .timeout = 50ms}));
}

TEST(PercentEncoding, LeavesOnlyWhatIsUnreserved) {
    EXPECT_EQ(percent_encoded("north-1_2.3~"), "north-1_2.3~");
    EXPECT_EQ(percent_encoded("a b/c?d&e=%\n"), "a%20b%2Fc%3Fd%26e%3D%25%0A");
    EXPECT_EQ(percent_encoded("°"), "%C2%B0");
}

}  // namespace
}  // namespace gyled::cli
