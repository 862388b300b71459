/// Limits on connections, event streams, slow readers, start and stop.

#include <sys/stat.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/web/live_server.hpp"
#include "tests/web/wire.hpp"

namespace gyled::web {
namespace {

using namespace std::chrono_literals;

Wire listener(const LiveServer& live) {
    Wire wire = Wire::tcp(live.port);
    wire.say(request("GET", "/api/events"));
    return wire;
}

TEST(Events, ReachWhoeverListens) {
    LiveServer live;
    Wire wire = listener(live);
    const Answer head = wire.hear();
    EXPECT_EQ(head.status, 200);
    EXPECT_EQ(head.headers.at("content-type"), "text/event-stream");
    EXPECT_EQ(wire.hear_until("\n\n"), "retry: 3000\n\n");

    live.in_loop([&] { live.server.notify(Event::vessel_changed("north")); });

    EXPECT_EQ(wire.hear_until("\n\n"), "event: vessel\ndata: {\"id\":\"north\"}\n\n");
}

TEST(Events, CarryAnAlarmWhole) {
    LiveServer live;
    Wire wire = listener(live);
    wire.hear_until("retry: 3000\n\n");

    live.in_loop([&] {
        alarms::Transition t = live.cellar.alarm_log.at(0);
        t.text = "two\nlines";
        live.server.notify(Event::alarm(t));
    });

    const std::string letter = wire.hear_until("\n\n");
    ASSERT_TRUE(letter.starts_with("event: alarm\ndata: "));
    const auto alarm = nlohmann::json::parse(letter.substr(letter.find('{')));
    EXPECT_EQ(alarm["rule"], "pressure_rising_to_limit");
    EXPECT_EQ(alarm["text"], "two\nlines");
}

TEST(Events, SayThatTheWatchChanged) {
    LiveServer live;
    Wire wire = listener(live);
    wire.hear_until("retry: 3000\n\n");

    live.in_loop([&] { live.server.notify(Event::watch_changed()); });

    EXPECT_EQ(wire.hear_until("\n\n"), "event: watch\ndata: {}\n\n");
}

TEST(Events, KeepAQuietStreamAlive) {
    LiveServer live{{.keep_alive = 20ms}};
    Wire wire = listener(live);
    EXPECT_NE(wire.hear_until(": still here\n\n").find("still here"), std::string::npos);
}

TEST(Events, DropWhoeverDoesNotRead) {
    LiveServer live;
    Wire wire = listener(live);
    wire.hear_until("retry: 3000\n\n");
    ASSERT_TRUE(live.has_connections(1));

    live.in_loop([&] {
        for (int i = 0; i < 1000; ++i) live.server.notify(Event::vessel_changed(std::to_string(i)));
    });

    EXPECT_TRUE(wire.is_closed_by_peer());
    EXPECT_TRUE(live.has_connections(0));
}

TEST(Events, SayTheSameThingOnceToASlowReader) {
    LiveServer live;
    Wire wire = listener(live);
    wire.hear_until("retry: 3000\n\n");

    live.in_loop([&] {
        for (int i = 0; i < 1000; ++i) live.server.notify(Event::vessel_changed("north"));
        live.server.notify(Event::vessel_changed("south"));
    });

    const std::string heard = wire.hear_until("south\"}\n\n");
    EXPECT_EQ(heard,
              "event: vessel\ndata: {\"id\":\"north\"}\n\nevent: vessel\ndata: {\"id\":\"south\"}\n\n");
}

TEST(Events, LeaveRoomForRequests) {
    LiveServer live{{.event_streams = 1}};
    Wire first = listener(live);
    first.hear_until("retry: 3000\n\n");

    Wire second = listener(live);
    EXPECT_EQ(second.hear().status, 503);
}

TEST(Connections, TheIdlestMakesRoomForANewcomer) {
    LiveServer live{{.connections = 2}};
    Wire first = Wire::tcp(live.port);
    ASSERT_TRUE(live.has_connections(1));
    Wire second = Wire::tcp(live.port);
    ASSERT_TRUE(live.has_connections(2));

    Wire third = Wire::tcp(live.port);
    third.say(request("GET", "/health"));

    EXPECT_EQ(third.hear().status, 200);
    EXPECT_TRUE(first.is_closed_by_peer());
    second.say(request("GET", "/health"));
    EXPECT_EQ(second.hear().status, 200) << "one was enough";
}

TEST(Connections, WhoeverIsListeningIsNotPutOutByIdlers) {
    LiveServer live{{.connections = 4}};
    Wire page = listener(live);
    page.hear_until("retry: 3000\n\n");
    std::vector<Wire> idlers;
    for (int i = 0; i < 50; ++i) idlers.push_back(Wire::tcp(live.port));

    live.in_loop([&] { live.server.notify(Event::vessel_changed("north")); });

    EXPECT_EQ(page.hear_until("\n\n"), "event: vessel\ndata: {\"id\":\"north\"}\n\n");
}

TEST(Connections, AreSoManyAndNoMoreWhenNobodyIsIdle) {
    LiveServer live{{.connections = 2}};
    Wire first = listener(live), second = listener(live);
    first.hear_until("retry: 3000\n\n");
    second.hear_until("retry: 3000\n\n");

    Wire third = Wire::tcp(live.port);
    EXPECT_TRUE(third.is_closed_by_peer());

    Wire by_socket = Wire::unix_socket(live.folder.file("s"));
    by_socket.say(request("GET", "/health"));
    EXPECT_EQ(by_socket.hear().status, 200) << "a crowd at one door does not close the other";
}

TEST(Connections, WhoDoesNotReadTheAnswerCountsAsIdle) {
    LiveServer live{{.connections = 1, .slow_reader = 0ms}};
    Wire greedy = Wire::tcp(live.port);
    std::string many;  // more answers than the kernel holds for somebody who reads none
    for (int i = 0; i < 400; ++i) many += request("GET", "/chart.min.js");
    greedy.say(many);
    ASSERT_TRUE(live.has_connections(1));

    Answer answer;
    for (int tries = 0; tries < 100 && answer.status != 200; ++tries) {
        Wire newcomer = Wire::tcp(live.port);
        newcomer.say(request("GET", "/health"));
        answer = newcomer.hear();
    }
    EXPECT_EQ(answer.status, 200);
}

TEST(Connections, EndWhenNothingIsSaid) {
    LiveServer live{{.header = 30ms}};
    Wire silent = Wire::tcp(live.port);
    EXPECT_TRUE(silent.is_closed_by_peer());
    Wire dribbling = Wire::tcp(live.port);
    dribbling.say("GET /health HT");
    EXPECT_TRUE(dribbling.is_closed_by_peer());
    EXPECT_TRUE(live.has_connections(0));
}

TEST(Connections, EndWhenABodyOrTheNextRequestIsTooLongInComing) {
    LiveServer live{{.idle = 30ms}};
    Wire headless = Wire::tcp(live.port);
    headless.say(request("POST", "/api/vessels/north/stage", bearer(token) + "Content-Length: 9\r\n"));
    EXPECT_TRUE(headless.is_closed_by_peer());
    Wire pausing = Wire::tcp(live.port);
    pausing.say(request("GET", "/health"));
    EXPECT_EQ(pausing.hear().status, 200);
    EXPECT_TRUE(pausing.is_closed_by_peer());
    EXPECT_TRUE(live.has_connections(0));
}

TEST(Connections, EndWhenTheServerStops) {
    LiveServer live;
    Wire idle = Wire::tcp(live.port);
    Wire listening = listener(live);
    listening.hear_until("retry: 3000\n\n");

    live.in_loop([&] { live.server.stop(); });

    EXPECT_TRUE(idle.is_closed_by_peer());
    EXPECT_TRUE(listening.is_closed_by_peer());
    EXPECT_FALSE(std::filesystem::exists(live.folder.file("s")));
    EXPECT_TRUE(live.has_connections(0));
}

class SocketFile : public testing::Test {
protected:
    Settings settings() { return {.listen = "", .socket = path}; }
    std::string why_not() {
        boost::asio::io_context loop;
        Server server{loop, cellar, cellar, settings()};
        try {
            server.start();
        } catch (const std::runtime_error& refused) {
            return refused.what();
        }
        return "";
    }
    ScratchFolder folder;
    HarbourCellar cellar;
    std::string path = folder.file("gyled.sock");
};

TEST_F(SocketFile, IsForUserAndGroupOnly) {
    boost::asio::io_context loop;
    Server server{loop, cellar, cellar, settings()};
    server.start();

    struct stat info {};
    ASSERT_EQ(::stat(path.c_str(), &info), 0);
    EXPECT_EQ(info.st_mode & 0777u, 0660u);
    server.stop();
    EXPECT_FALSE(std::filesystem::exists(path));
}

TEST_F(SocketFile, ReplacesOneThatNobodyAnswersOn) {
    {
        boost::asio::io_context loop;
        boost::asio::local::stream_protocol::acceptor dead{
            loop, boost::asio::local::stream_protocol::endpoint{path}};
    }
    ASSERT_TRUE(std::filesystem::exists(path)) << "a crash leaves its socket behind";
    EXPECT_EQ(why_not(), "");
}

TEST_F(SocketFile, DoesNotReplaceALivingServer) {
    boost::asio::io_context loop;
    Server living{loop, cellar, cellar, settings()};
    living.start();

    EXPECT_NE(why_not().find("another gyled answers on " + path), std::string::npos);
    EXPECT_TRUE(std::filesystem::exists(path));
}

TEST_F(SocketFile, DoesNotReplaceAFile) {
    std::ofstream{path} << "precious";
    EXPECT_NE(why_not().find("is not a socket"), std::string::npos);
    EXPECT_TRUE(std::filesystem::exists(path));
}

TEST_F(SocketFile, RefusesAPathThatIsTooLong) {
    path = folder.file(std::string(120, 'x'));
    EXPECT_NE(why_not().find("too long"), std::string::npos);
}

TEST(Listening, RefusesWhatIsNoAddress) {
    boost::asio::io_context loop;
    HarbourCellar cellar;
    for (const char* nonsense : {"8075", "127.0.0.1", "127.0.0.1:", "127.0.0.1:99999", "::1:8075", "[::1]",
                                 "cellar:80", "127.0.0.1:80x", ":8075"}) {
        Server server{loop, cellar, cellar, {.listen = nonsense}};
        EXPECT_THROW(server.start(), std::runtime_error) << nonsense;
    }
}

TEST(Listening, SaysWhenThePortIsTaken) {
    LiveServer live;
    boost::asio::io_context loop;
    HarbourCellar cellar;
    Server second{loop, cellar, cellar, {.listen = "127.0.0.1:" + std::to_string(live.port)}};
    EXPECT_THROW(second.start(), std::runtime_error);
}

}  // namespace
}  // namespace gyled::web
