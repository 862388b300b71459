/// More than we can take, larger than we want, stranger than we thought.

#include "tests/mqtt/listening.hpp"

namespace gyled::mqtt {
namespace {

TEST(Crowd, ATinyQueueLosesNothingBecauseTheBrokerHoldsTheRest) {
    Broker broker;
    broker.start();
    Settings settings = settings_for(broker);
    settings.queue_bound = 3;
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    MqttPeer sensor{broker.url(), "sensor"};
    ASSERT_TRUE(eventually([&] {
        sensor.publish("cellar/hello", "hello");
        return cellar.take_until([&] { return !cellar.messages.empty(); }, 50ms);
    }));

    std::vector<std::string> readings;
    for (int i = 0; i < 500; ++i) readings.push_back(std::to_string(i));
    const std::set<std::string> said{readings.begin(), readings.end()};
    broker.publish_from_outside("cellar/north/gravity", readings);
    ASSERT_TRUE(eventually([&] { return cellar.source->figures().queue_depth == settings.queue_bound; }));
    EXPECT_TRUE(cellar.take_until([&] { return std::ranges::includes(cellar.payloads(), said); }));

    EXPECT_GT(cellar.source->figures().waited, 0U);
}

TEST(Crowd, PublishingDoesNotWaitWhileTheQueueIsFull) {
    Broker broker;
    broker.start();
    Settings settings = settings_for(broker);
    settings.queue_bound = 1;
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    ASSERT_TRUE(eventually([&] {  // until one waits for room
        broker.publish_from_outside("cellar/north/gravity", {"1.020"});
        return cellar.source->figures().waited > 0;
    }));

    const auto begin = std::chrono::steady_clock::now();
    for (int i = 0; i < 10'000; ++i) (void)cellar.source->publish("gyled/north/state", "{}", false, 0);
    EXPECT_LT(std::chrono::steady_clock::now() - begin, 5s);

    EXPECT_GT(cellar.source->figures().publish_dropped, 9'000U) << "the backlog is bounded";
    cellar.source->stop();
    EXPECT_EQ(cellar.source->figures().published + cellar.source->figures().publish_dropped, 10'000U);
    cellar.take();
    EXPECT_GE(cellar.messages.size(), 2U) << "what waited for room is kept at the end";
}

TEST(Crowd, PublishesWhatOthersThenHear) {
    Broker broker;
    broker.start();
    MqttPeer dashboard{broker.url(), "dashboard"};
    dashboard.subscribe("gyled/north/#");
    Listening cellar{settings_for(broker)};
    EXPECT_FALSE(cellar.source->publish("gyled/north/state", "too early", false, 0));
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());

    EXPECT_TRUE(cellar.source->publish("gyled/north/state", R"({"gravity":1.021})", false, 1));
    const auto heard = dashboard.hear();
    ASSERT_TRUE(heard);
    EXPECT_EQ(heard->topic, "gyled/north/state");
    EXPECT_EQ(heard->payload, R"({"gravity":1.021})");

    EXPECT_FALSE(cellar.source->publish("gyled/+/state", "x", false, 0));
    EXPECT_FALSE(cellar.source->publish("", "x", false, 0));
    EXPECT_FALSE(cellar.source->publish(std::string_view{"a\0b", 3}, "x", false, 0));
    EXPECT_FALSE(cellar.source->publish(std::string(70'000, 'a'), "x", false, 0));
    EXPECT_FALSE(cellar.source->publish("gyled/north/state", "x", false, 7));
    (void)cellar.source->publish("gyled/\xff\xfe", "not UTF-8: found out later", false, 0);
    EXPECT_TRUE(eventually([&] { return cellar.source->figures().publish_dropped == 7; }));
    EXPECT_TRUE(cellar.source->figures().connected) << "nonsense of ours does not cost the connection";
}

TEST(Crowd, AnyBytesPass) {
    Broker broker;
    broker.start();
    Settings settings = settings_for(broker);
    settings.filters = {"#"};
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    MqttPeer sensor{broker.url(), "sensor"};
    ASSERT_TRUE(eventually([&] {
        sensor.publish("hello", "hello");
        return cellar.take_until([&] { return !cellar.messages.empty(); }, 50ms);
    }));

    std::string every_byte;
    for (int i = 0; i < 256; ++i) every_byte += static_cast<char>(i);
    const std::vector<std::pair<std::string, std::string>> odd = {
        {"cellar/every byte", every_byte},
        {"/", ""},
        {"//", std::string(3, '\0')},
        {"caf\xc3\xa9/\xf0\x9f\x8d\xba", "\xff\xfe"},
        {" ", "NaN"},
        {std::string(60'000, 't'), "long topic"},
    };
    for (const auto& [topic, payload] : odd) sensor.publish(topic, payload);

    ASSERT_TRUE(cellar.take_until([&] { return cellar.payloads().contains("long topic"); }));
    for (const auto& [topic, payload] : odd)
        EXPECT_TRUE(std::ranges::any_of(cellar.messages, [&](const Message& heard) {
            return heard.topic == topic && heard.payload == payload;
        })) << topic.substr(0, 40);
}

TEST(Crowd, WhatSensorsMayReadIsTakenAndMoreIsCounted) {
    Broker broker;
    broker.start();
    TemporaryFolder folder;
    Settings settings = settings_for(broker);
    settings.spool = folder / "spool";
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    MqttPeer sensor{broker.url(), "sensor"};
    ASSERT_TRUE(eventually([&] {
        sensor.publish("cellar/hello", "hello");
        return cellar.take_until([&] { return !cellar.messages.empty(); }, 50ms);
    }));

    sensor.publish("cellar/large", std::string(settings.payload_limit, 'x'));
    sensor.publish("cellar/too large", std::string(settings.payload_limit + 1, 'x'));
    sensor.publish("cellar/last", "last");

    ASSERT_TRUE(cellar.take_until([&] { return cellar.payloads().contains("last"); }));
    EXPECT_TRUE(cellar.payloads().contains(std::string(settings.payload_limit, 'x')));
    EXPECT_FALSE(cellar.payloads().contains(std::string(settings.payload_limit + 1, 'x')));
    EXPECT_EQ(cellar.source->figures().oversized, 1U);
}

}  // namespace
}  // namespace gyled::mqtt
