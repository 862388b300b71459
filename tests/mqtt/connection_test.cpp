/// Against a real broker: coming, going, coming back.

#include "tests/mqtt/listening.hpp"

namespace gyled::mqtt {
namespace {

TEST(Connection, BringsTopicPayloadAndTimeOfArrival) {
    Broker broker;
    broker.start();
    const Timestamp noon{std::chrono::milliseconds{1'772'366'400'000}};
    Listening cellar{settings_for(broker), [noon] { return noon; }};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    MqttPeer sensor{broker.url(), "sensor"};

    // The subscription may still be on its way: publish until heard.
    ASSERT_TRUE(eventually([&] {
        sensor.publish("cellar/north/gravity", R"({"sg":1.0213})");
        return cellar.take_until([&] { return !cellar.messages.empty(); }, 50ms);
    }));

    EXPECT_EQ(cellar.messages[0].topic, "cellar/north/gravity");
    EXPECT_EQ(cellar.messages[0].payload, R"({"sg":1.0213})");
    EXPECT_EQ(cellar.messages[0].arrived, noon);
    EXPECT_FALSE(cellar.messages[0].retained);
}

TEST(Connection, StartsWhileTheBrokerIsStillDown) {
    Broker broker;
    Listening cellar{settings_for(broker)};

    cellar.source->start();
    ASSERT_TRUE(cellar.take_until([&] { return cellar.count(ConnectionEvent::Kind::disconnected) > 0; }));
    EXPECT_FALSE(cellar.source->figures().connected);
    EXPECT_THAT(cellar.events[0].text, ::testing::StartsWith("nobody answers (Connection refused)"));

    broker.start();
    EXPECT_TRUE(cellar.wait_connected());
    EXPECT_TRUE(cellar.source->figures().connected);
}

TEST(Connection, SaysOnceThatTheBrokerIsGoneAndOnceThatItIsBack) {
    Broker broker;
    broker.start();
    Listening cellar{settings_for(broker)};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());

    broker.kill();
    ASSERT_TRUE(cellar.take_until([&] { return cellar.count(ConnectionEvent::Kind::disconnected) > 0; }));
    broker.start();
    ASSERT_TRUE(cellar.wait_connected(2));

    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::disconnected), 1U);
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::connected), 2U);
    EXPECT_EQ(cellar.source->figures().connects, 2U);
}

TEST(Connection, HearsEverythingPublishedBetweenBrokerRestarts) {
    Broker broker;
    broker.start();
    Listening cellar{settings_for(broker)};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());

    std::set<std::string> said;
    for (int restart = 0; restart < 3; ++restart) {
        {
            MqttPeer sensor{broker.url(), "sensor"};
            // From here on the subscription stands; a person's "hello" until it is heard.
            ASSERT_TRUE(eventually([&] {
                sensor.publish("cellar/hello", "hello " + std::to_string(restart));
                return cellar.take_until(
                    [&] { return cellar.payloads().contains("hello " + std::to_string(restart)); }, 50ms);
            })) << broker.log();
            std::vector<std::string> readings;
            for (int i = 0; i < 200; ++i)
                readings.push_back(std::to_string(restart) + '/' + std::to_string(i));
            broker.publish_from_outside("cellar/north/gravity", readings);
            said.insert(readings.begin(), readings.end());
        }
        ASSERT_TRUE(cellar.take_until([&] { return std::ranges::includes(cellar.payloads(), said); }))
            << broker.log();
        if (restart % 2 == 0)
            broker.kill();
        else
            broker.stop();
        broker.start();
        ASSERT_TRUE(cellar.wait_connected(static_cast<std::uint64_t>(restart) + 2)) << broker.log();
    }
    EXPECT_TRUE(std::ranges::includes(cellar.payloads(), said));
}

TEST(Connection, TheBrokerKeepsWhatIsPublishedWhileWeAreAway) {
    Broker broker;
    broker.start();
    {
        Listening cellar{settings_for(broker)};
        cellar.source->start();
        ASSERT_TRUE(cellar.wait_connected());
        MqttPeer sensor{broker.url(), "sensor"};
        ASSERT_TRUE(eventually([&] {
            sensor.publish("cellar/hello", "hello");
            return cellar.take_until([&] { return !cellar.messages.empty(); }, 50ms);
        }));
        cellar.source->stop();
    }
    std::vector<std::string> readings;
    for (int i = 0; i < 3000; ++i) readings.push_back(std::to_string(i));
    broker.publish_from_outside("cellar/north/gravity", readings);
    broker.stop();
    broker.start();

    Listening cellar{settings_for(broker)};
    cellar.source->start();

    const std::set<std::string> said{readings.begin(), readings.end()};
    EXPECT_TRUE(cellar.take_until([&] { return std::ranges::includes(cellar.payloads(), said); }))
        << cellar.messages.size();
}

TEST(Connection, MarksRetainedMessagesAsOldNews) {
    Broker broker;
    broker.start();
    MqttPeer sensor{broker.url(), "sensor"};
    sensor.publish("cellar/north/gravity", "1.040", 1, true);
    Listening cellar{settings_for(broker)};

    cellar.source->start();
    ASSERT_TRUE(cellar.wait_messages(1));
    EXPECT_TRUE(cellar.messages[0].retained);

    // Published with the retain flag while we listen: it is news, and the flag does not reach us.
    sensor.publish("cellar/north/gravity", "1.039", 1, true);
    ASSERT_TRUE(cellar.take_until([&] { return cellar.payloads().contains("1.039"); }));
    EXPECT_FALSE(cellar.messages.back().retained);
}

TEST(Connection, LeavesTheTopicsThatOnlyAnEarlierConfigurationNamed) {
    Broker broker;
    broker.start();
    TemporaryFolder folder;
    Settings settings = settings_for(broker);
    settings.spool = folder / "spool";
    MqttPeer dashboard{broker.url(), "dashboard"};
    dashboard.subscribe("gyled/status");
    const auto is_online = [&] {  // said behind the subscriptions, on the same connection
        while (const auto heard = dashboard.hear(5s))
            if (heard->payload == "online") return true;
        return false;
    };
    settings.filters = {"cellar/#", "cellar/north/gravity"};
    {
        Listening before{settings};
        before.source->start();
        ASSERT_TRUE(is_online());
        before.source->stop();
    }

    settings.filters = {"cellar/north/gravity", "shed/#"};
    Listening after{settings};
    after.source->start();
    ASSERT_TRUE(is_online());
    MqttPeer sensor{broker.url(), "sensor"};
    sensor.publish("cellar/north/pressure", "12");
    sensor.publish("cellar/north/gravity", "1.040");
    sensor.publish("shed/gravity", "1.041");

    ASSERT_TRUE(after.wait_messages(2)) << broker.log();
    EXPECT_EQ(after.payloads(), (std::set<std::string>{"1.040", "1.041"}));
    EXPECT_EQ(after.source->figures().unclaimed, 0U) << "the broker still sent it: " << broker.log();
}

TEST(Connection, TellsOthersWhetherWeAreThere) {
    Broker broker;
    broker.start();
    MqttPeer dashboard{broker.url(), "dashboard"};
    dashboard.subscribe("gyled/status");
    Listening cellar{settings_for(broker)};

    cellar.source->start();
    auto heard = dashboard.hear();
    ASSERT_TRUE(heard);
    EXPECT_EQ(heard->payload, "online");

    cellar.source->stop();
    heard = dashboard.hear();
    ASSERT_TRUE(heard);
    EXPECT_EQ(heard->payload, "offline");

    MqttPeer latecomer{broker.url(), "latecomer"};
    latecomer.subscribe("gyled/status");
    heard = latecomer.hear();
    ASSERT_TRUE(heard);
    EXPECT_EQ(heard->payload, "offline");
    EXPECT_TRUE(heard->retained);
}

TEST(Connection, TheLastWillSpeaksWhenAnotherTakesOurName) {
    Broker broker;
    broker.start();
    MqttPeer dashboard{broker.url(), "dashboard"};
    dashboard.subscribe("gyled/status");
    Settings settings = settings_for(broker);
    settings.reconnect_first = settings.reconnect_longest = 60s;
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    auto heard = dashboard.hear();
    ASSERT_TRUE(heard);
    ASSERT_EQ(heard->payload, "online");

    const MqttPeer impostor{broker.url(), settings.client_id};

    heard = dashboard.hear();
    ASSERT_TRUE(heard);
    EXPECT_EQ(heard->payload, "offline");
    EXPECT_TRUE(cellar.take_until([&] { return cellar.count(ConnectionEvent::Kind::disconnected) > 0; }));
}

TEST(Connection, SaysWhyTheBrokerRefuses) {
    Broker broker{"listener %PORT% 127.0.0.1\nallow_anonymous false"};
    broker.start();
    Listening cellar{settings_for(broker)};

    cellar.source->start();

    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.events[0].kind, ConnectionEvent::Kind::disconnected);
    EXPECT_THAT(cellar.events[0].text, ::testing::HasSubstr("Not authorized"));
}

TEST(Connection, StopsInTimeWhenTheBrokerHangs) {
    Broker broker;
    broker.start();
    Listening cellar{settings_for(broker)};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    broker.freeze();

    const auto begin = std::chrono::steady_clock::now();
    cellar.source->stop(1s);
    const auto took = std::chrono::steady_clock::now() - begin;
    broker.thaw();

    EXPECT_LT(took, 5s);
}

TEST(Connection, SettingsThatCannotWorkAreRefusedAtOnce) {
    const auto refused = [](auto spoil) {
        Settings settings;
        spoil(settings);
        EXPECT_THROW((void)connect_to_broker(settings, wall_clock, [] {}), std::invalid_argument);
    };
    refused([](Settings& s) { s.url = "127.0.0.1:1883"; });
    refused([](Settings& s) { s.url = "http://127.0.0.1"; });
    refused([](Settings& s) { s.url = "mqtt://"; });
    refused([](Settings& s) { s.url = ""; });
    refused([](Settings& s) { s.filters = {"cellar/#/gravity"}; });
    refused([](Settings& s) { s.filters = {""}; });
    refused([](Settings& s) { s.publish_prefix = "gyled/+"; });
    refused([](Settings& s) { s.publish_prefix = ""; });
    refused([](Settings& s) { s.client_id = ""; });
}

}  // namespace
}  // namespace gyled::mqtt
