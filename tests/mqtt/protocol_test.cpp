/// What passes over the wire, against a broker that follows the test's script.

#include <filesystem>
#include <fstream>
#include <iterator>
#include <thread>

#include "tests/mqtt/listening.hpp"
#include "tests/mqtt/scripted_broker.hpp"

namespace gyled::mqtt {
namespace {

Settings settings_for(const ScriptedBroker& broker) {
    Settings settings;
    settings.url = broker.url();
    settings.filters = {"cellar/#"};
    return settings;
}

/// The identifier that an acknowledgement or a request begins with.
int id_of(const ScriptedBroker::Packet& packet) {
    return static_cast<unsigned char>(packet.body.at(0)) * 256 +
           static_cast<unsigned char>(packet.body.at(1));
}

std::string spooled(const TemporaryFolder& folder) {
    std::string all;
    for (const auto& entry : std::filesystem::directory_iterator{folder.path()}) {
        std::ifstream file{entry.path(), std::ios::binary};
        all.append(std::istreambuf_iterator<char>{file}, {});
    }
    return all;
}

TEST(Protocol, ConnectsToKeepItsSessionAndLeavesAWill) {
    ScriptedBroker broker;
    Settings settings = settings_for(broker);
    settings.session_expiry = 1h;
    Listening cellar{settings};
    cellar.source->start();

    const auto packet = broker.welcome();

    EXPECT_EQ(packet.body.substr(0, 7), std::string("\x00\x04MQTT\x05", 7));
    EXPECT_EQ(packet.body[7], 0x2C) << "a will, QoS 1, retained; no clean start";
    EXPECT_NE(packet.body.find(std::string("\x11\x00\x00\x0e\x10", 5)), std::string::npos)
        << "session expiry 3600 s";
    EXPECT_NE(packet.body.find("gyled/status"), std::string::npos);
    EXPECT_NE(packet.body.find("offline"), std::string::npos);
}

TEST(Protocol, SubscribesWithQosOneOnEachConnect) {
    ScriptedBroker broker;
    Listening cellar{settings_for(broker)};
    cellar.source->start();
    for (int connect = 0; connect < 2; ++connect) {
        broker.welcome();
        const auto packet = broker.next_of(ScriptedBroker::subscribe);
        ASSERT_TRUE(packet);
        EXPECT_NE(packet->body.find("cellar/#\x01"), std::string::npos);
        if (connect == 0) broker.send_raw("\xff\xff\xff\xff nonsense that no client can follow");
    }
}

/// The heart of it: what the broker may forget stands in the spool already.
TEST(Protocol, AcknowledgesOnlyWhatStandsInTheSpool) {
    ScriptedBroker broker;
    TemporaryFolder folder;
    Settings settings = settings_for(broker);
    settings.spool = folder / "spool";
    settings.queue_bound = 1;
    Listening cellar{settings};
    cellar.source->start();
    broker.welcome();
    ASSERT_TRUE(broker.next_of(ScriptedBroker::publish)) << "online: the last it says by itself";

    broker.send_message(7, "cellar/north/gravity", "the first");
    auto acknowledged = broker.next_of(ScriptedBroker::puback);
    ASSERT_TRUE(acknowledged);
    EXPECT_EQ(id_of(*acknowledged), 7);
    EXPECT_NE(spooled(folder).find("the first"), std::string::npos);

    broker.send_message(8, "cellar/north/gravity", "the second");
    ASSERT_TRUE(eventually([&] { return cellar.source->figures().waited == 1; }));
    EXPECT_EQ(spooled(folder).find("the second"), std::string::npos);
    EXPECT_FALSE(broker.next(200ms)) << "acknowledged before there was room for it";

    EXPECT_EQ(cellar.source->drain(1).messages.size(), 1U);
    acknowledged = broker.next_of(ScriptedBroker::puback);
    ASSERT_TRUE(acknowledged);
    EXPECT_EQ(id_of(*acknowledged), 8);
    EXPECT_NE(spooled(folder).find("the second"), std::string::npos);
}

TEST(Protocol, ARefusedSubscriptionIsTold) {
    ScriptedBroker broker;
    Listening cellar{settings_for(broker)};
    cellar.source->start();
    broker.welcome();
    const auto request = broker.next_of(ScriptedBroker::subscribe);
    ASSERT_TRUE(request);

    broker.send(0x90, request->body.substr(0, 2) + std::string("\x00\x87", 2));  // SUBACK: not authorized

    ASSERT_TRUE(
        cellar.take_until([&] { return cellar.count(ConnectionEvent::Kind::subscription_refused) > 0; }));
    EXPECT_EQ(cellar.events.back().text, "subscription to 'cellar/#' refused: Not authorized");
}

/// The answer to CONNECT comes while the source is being taken down.
TEST(Protocol, MayBeStoppedWhileItConnects) {
    for (int round = 0; round < 8; ++round) {
        ScriptedBroker broker;
        Listening cellar{settings_for(broker)};
        cellar.source->start();
        broker.accept();
        ASSERT_TRUE(broker.next());
        std::thread main_thread{[&] { cellar.source->stop(1s); }};
        std::this_thread::sleep_for(
            std::chrono::milliseconds{round * round});  // 0 to 49 ms: at each stage of stopping
        broker.send(0x20, std::string_view{"\x00\x00\x00", 3});
        main_thread.join();
        EXPECT_FALSE(cellar.source->figures().connected);
    }
}

TEST(Protocol, SurvivesABrokerOfNonsense) {
    ScriptedBroker broker;
    Listening cellar{settings_for(broker)};
    cellar.source->start();
    const std::string_view rubbish[] = {
        {"\x00\x00", 2},              // a reserved type
        {"\x20\x03\x00\x87\x00", 5},  // a second CONNACK, a refusal
        {"\x32\x05\xff\xff"
         "abc",
         7},  // a topic longer than its packet
        {"\x36\x07\x00\x01"
         "a\x00\x01\x00x",
         9},                              // QoS 3
        {"\x40\x02\x12\x34", 4},          // an acknowledgement of nothing
        {"\x90\x04\x00\x63\x00\x01", 6},  // likewise
    };
    std::uint64_t connects = 0;
    for (const std::string_view bytes : rubbish) {
        broker.welcome();
        ASSERT_TRUE(cellar.wait_connected(++connects));
        broker.send_raw(bytes);
        broker.send_message(1, "cellar/north/gravity", "still here");
        // Either it lives on and hears the next message, or it comes back: `welcome` hangs up on it.
    }
    broker.welcome();
    EXPECT_TRUE(cellar.wait_connected(++connects));
}

}  // namespace
}  // namespace gyled::mqtt
