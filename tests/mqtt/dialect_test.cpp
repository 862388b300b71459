/// Brokers that speak MQTT 3.1.1 and no 5, brokers that speak both, and ports where none is.

#include "daemon/mqtt/negotiation.hpp"
#include "tests/mqtt/certificates.hpp"
#include "tests/mqtt/listening.hpp"
#include "tests/mqtt/scripted_broker.hpp"
#include "tests/support/small_broker.hpp"

namespace gyled::mqtt {
namespace {

using ::testing::HasSubstr;
using testing::SmallBroker;
using ::testing::StartsWith;

using Kind = ConnectFailure::Kind;

// ---- the policy alone

TEST(Negotiation, TriesTheOlderVersionAfterARefusalOrAClosedDoor) {
    for (const Kind sign : {Kind::version_refused, Kind::closed}) {
        Negotiation talk{Protocol::automatic};
        EXPECT_EQ(talk.version(), Version::mqtt_5);
        EXPECT_TRUE(talk.falls_back({sign, {}}));
        EXPECT_EQ(talk.version(), Version::mqtt_3_1_1);
    }
}

TEST(Negotiation, TriesItAfterNothingElse) {
    for (const Kind sign : {Kind::no_connection, Kind::refused}) {
        Negotiation talk{Protocol::automatic};
        EXPECT_FALSE(talk.falls_back({sign, {}}));
        EXPECT_EQ(talk.version(), Version::mqtt_5);
    }
}

TEST(Negotiation, BeginsAnewWhenNeitherWorks) {
    Negotiation talk{Protocol::automatic};
    ASSERT_TRUE(talk.falls_back({Kind::closed, {}}));
    EXPECT_FALSE(talk.falls_back({Kind::closed, {}}));
    EXPECT_THAT(talk.words({Kind::closed, {}}), HasSubstr("MQTT 5 and MQTT 3.1.1"));
    EXPECT_EQ(talk.version(), Version::mqtt_5);
}

TEST(Negotiation, ABrokerThatSpokeOnceIsNotTalkedOutOfItsVersion) {
    Negotiation talk{Protocol::automatic};
    talk.succeeded();
    EXPECT_FALSE(talk.falls_back({Kind::closed, {}})) << "it goes down just now";
    EXPECT_EQ(talk.version(), Version::mqtt_5);

    Negotiation older{Protocol::automatic};
    ASSERT_TRUE(older.falls_back({Kind::version_refused, {}}));
    older.succeeded();
    EXPECT_FALSE(older.falls_back({Kind::closed, {}}));
    EXPECT_EQ(older.version(), Version::mqtt_3_1_1);
}

TEST(Negotiation, DoesAsTold) {
    Negotiation newer{Protocol::mqtt_5}, older{Protocol::mqtt_3_1_1};
    EXPECT_FALSE(newer.falls_back({Kind::version_refused, {}}));
    EXPECT_EQ(newer.version(), Version::mqtt_5);
    EXPECT_THAT(newer.words({Kind::version_refused, {}}), HasSubstr("protocol = \"auto\""));
    EXPECT_FALSE(older.falls_back({Kind::version_refused, {}}));
    EXPECT_EQ(older.version(), Version::mqtt_3_1_1);
}

// ---- over the wire

/// Settings for any broker's address.
Settings settings_for(const std::string& url) {
    Settings settings;
    settings.url = url;
    settings.client_id = "gyled-under-test";
    settings.filters = {"cellar/#"};
    settings.reconnect_first = 1s;
    return settings;
}

/// A broker that only closes the door on MQTT 5, as section 3.1.4 of MQTT 3.1.1 allows.
TEST(Dialect, AClosedDoorIsFollowedByMqtt311WithAPersistentSession) {
    ScriptedBroker broker;
    Listening cellar{settings_for(broker.url())};
    cellar.source->start();
    broker.accept();
    auto packet = broker.next();
    ASSERT_TRUE(packet);
    EXPECT_EQ(packet->body.substr(0, 7), std::string("\x00\x04MQTT\x05", 7));

    broker.accept();  // hangs up on it and takes the next
    packet = broker.next();
    ASSERT_TRUE(packet);

    EXPECT_EQ(packet->body.substr(0, 7), std::string("\x00\x04MQTT\x04", 7));
    EXPECT_EQ(packet->body[7], 0x2C) << "a will, QoS 1, retained; clean session 0";
    broker.send(0x20, std::string_view{"\x00\x00", 2});  // CONNACK of MQTT 3.1.1
    ASSERT_TRUE(cellar.wait_connected());
    EXPECT_EQ(cellar.source->figures().mqtt_version, 4);
    EXPECT_THAT(cellar.events.back().text, StartsWith("MQTT 3.1.1: "));
    const auto request = broker.next_of(ScriptedBroker::subscribe);
    ASSERT_TRUE(request);
    EXPECT_THAT(request->body, HasSubstr("cellar/#\x01"));
}

TEST(Dialect, TheRefusalOfMqtt5InItsOwnWordsWorksToo) {
    ScriptedBroker broker;
    Listening cellar{settings_for(broker.url())};
    cellar.source->start();
    broker.accept();
    ASSERT_TRUE(broker.next());
    broker.send(0x20,
                std::string_view{"\x00\x84\x00", 3});  // CONNACK of MQTT 5: unsupported protocol version

    broker.accept();
    const auto packet = broker.next();

    ASSERT_TRUE(packet);
    EXPECT_EQ(packet->body.substr(0, 7), std::string("\x00\x04MQTT\x04", 7));
}

TEST(Dialect, AWrongPortARefusedLoginAndARefusedVersionHaveWordsOfTheirOwn) {
    const auto told = [](Settings settings) {
        Listening cellar{settings};
        cellar.source->start();
        EXPECT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
        return cellar.events.empty() ? std::string{} : cellar.events[0].text;
    };

    EXPECT_THAT(told(settings_for("mqtt://127.0.0.1:" + std::to_string(testing::free_port()))),
                StartsWith("nobody answers (Connection refused)"));
    EXPECT_THAT(told(settings_for("mqtt://no-such-host.invalid")), StartsWith("nobody answers ("));

    Broker strict{"listener %PORT% 127.0.0.1\nallow_anonymous false"};
    strict.start();
    EXPECT_EQ(told(settings_for(strict.url())),
              "the broker refuses our login: Not authorized (user and password in [broker])");

    ScriptedBroker older;
    Settings only_5 = settings_for(older.url());
    only_5.protocol = Protocol::mqtt_5;
    std::thread script{[&] {
        older.accept();
        (void)older.next();
        older.send(0x20, std::string_view{"\x00\x01", 2});  // CONNACK of MQTT 3.1.1: unacceptable version
    }};
    EXPECT_THAT(told(only_5), StartsWith("the broker refuses MQTT 5"));
    script.join();
}

TEST(Dialect, APortWhereNoBrokerIsSaysSo) {
    ScriptedBroker stranger;
    Listening cellar{settings_for(stranger.url())};
    cellar.source->start();
    for (int version = 0; version < 2; ++version) {
        stranger.accept();
        ASSERT_TRUE(stranger.next());
        stranger.send_raw("HTTP/1.1 400 Bad Request\r\n\r\n");
        stranger.hang_up();
    }
    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_THAT(cellar.events[0].text, HasSubstr("is it a broker's port"));
}

// ---- a broker of another make

/// Skips where the small broker cannot be had.
#define START_OR_SKIP(broker)                          \
    try {                                              \
        (broker).start();                              \
    } catch (const SmallBroker::NotInstalled& words) { \
        GTEST_SKIP() << words.what();                  \
    }

TEST(SmallBrokers, AreSpokenToInMqtt311AndKeepOurSession) {
    SmallBroker broker;
    START_OR_SKIP(broker);
    const Settings settings = settings_for(broker.url());
    {
        Listening cellar{settings};
        cellar.source->start();
        ASSERT_TRUE(cellar.wait_connected()) << broker.log();
        EXPECT_EQ(cellar.source->figures().mqtt_version, 4);
        ASSERT_TRUE(eventually([&] {
            broker.publish_from_outside("cellar/hello", {"hello"});
            return cellar.take_until([&] { return !cellar.messages.empty(); }, 50ms);
        }));
    }
    std::vector<std::string> readings;
    for (int i = 0; i < 300; ++i) readings.push_back(std::to_string(i));
    broker.publish_from_outside("cellar/north/gravity", readings);

    Listening cellar{settings};
    cellar.source->start();

    const std::set<std::string> said{readings.begin(), readings.end()};
    EXPECT_TRUE(cellar.take_until([&] { return std::ranges::includes(cellar.payloads(), said); }))
        << cellar.messages.size() << broker.log();
    EXPECT_EQ(cellar.source->figures().sessions_lost, 0U);
}

TEST(SmallBrokers, ARefusedLoginIsNoRefusedVersion) {
    SmallBroker broker{{}, "gyled", "hunter2"};
    START_OR_SKIP(broker);
    Settings settings = settings_for(broker.url());
    settings.user = "gyled";
    settings.password = "hunter2";
    {
        Listening cellar{settings};
        cellar.source->start();
        EXPECT_TRUE(cellar.wait_connected()) << broker.log();
    }
    settings.password = "hunter3";
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.events[0].text,
              "the broker refuses our login: bad user name or password (user and password in [broker])");
}

TEST(SmallBrokers, MayWantTlsAndACertificateOfOurs) {
    const Certificates files;
    files.authority("harbour");
    files.certificate("broker", "harbour", "IP:127.0.0.1");
    files.certificate("gyled", "harbour", "DNS:gyled");
    SmallBroker broker{{files / "broker.pem", files / "broker.key", files / "harbour.pem"}};
    START_OR_SKIP(broker);
    Settings settings = settings_for(broker.url());
    settings.tls.ca_file = files / "harbour.pem";
    {
        Listening stranger{settings};
        stranger.source->start();
        ASSERT_TRUE(stranger.take_until([&] { return !stranger.events.empty(); }));
        EXPECT_THAT(stranger.events[0].text, HasSubstr("certificate"));
    }
    settings.tls.certificate_file = files / "gyled.pem";
    settings.tls.key_file = files / "gyled.key";
    Listening cellar{settings};
    cellar.source->start();
    EXPECT_TRUE(cellar.wait_connected()) << broker.log();
    EXPECT_EQ(cellar.source->figures().mqtt_version, 4);
}

TEST(SmallBrokers, ThatForgetUsOverTheirRestartAreToldOf) {
    SmallBroker broker;
    START_OR_SKIP(broker);
    Listening cellar{settings_for(broker.url())};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::session_lost), 0U) << "a first start loses nothing";

    broker.stop();
    broker.start();

    ASSERT_TRUE(cellar.wait_connected(2)) << broker.log();
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::session_lost), 1U);
    EXPECT_EQ(cellar.source->figures().sessions_lost, 1U);
}

}  // namespace
}  // namespace gyled::mqtt
