/// What goes wrong at the broker, with the whole house: pressure still rings, and what does not work is told.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"
#include "tests/support/small_broker.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using testing::eventually;
using ::testing::HasSubstr;
using testing::MqttPeer;
using testing::SmallBroker;

std::size_t count(const std::string& text, const std::string& word) {
    std::size_t n = 0;
    for (std::size_t at = text.find(word); at != text.npos; at = text.find(word, at + 1)) ++n;
    return n;
}

/// 190 kPa, above the 180 of the relief valve.
void expect_pressure_rings(House& house, const std::function<void(const std::string&)>& publish) {
    publish(document("kpa", 190, wall_clock()));
    EXPECT_TRUE(eventually([&] { return house.phone_heard("1.90 bar"); }, 10s)) << house.daemon_log();
}

TEST(Faults, ABrokerThatSpeaksMqtt311OnlyIsSpokenToAndPressureRings) {
    SmallBroker broker;
    try {
        broker.start();
    } catch (const SmallBroker::NotInstalled& words) {
        GTEST_SKIP() << words.what();
    }
    House house;
    house.edit_config(house.broker.url(), broker.url());
    house.start_daemon();
    ASSERT_TRUE(eventually([&] { return house.get("/health").value("broker_connected", false); }))
        << house.daemon_log();
    EXPECT_THAT(house.daemon_log(),
                HasSubstr("MQTT 3.1.1: how long our session is kept is up to the broker"));
    house.start_batch(wall_clock() - 1h);

    expect_pressure_rings(house, [&](const std::string& payload) {
        broker.publish_from_outside("cellar/north/head_pressure", {payload});
    });

    broker.stop();  // and with it our session
    broker.start();
    EXPECT_TRUE(eventually([&] { return !house.impairment("broker_session_lost").empty(); }))
        << house.daemon_log();
}

TEST(Faults, ABrokerThatForgotUsIsTold) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.broker.kill();
    for (const char* const file : {"mosquitto.db", "mosquitto.db.new"})
        std::filesystem::remove(house.broker.folder() / file);
    house.broker.start();

    EXPECT_TRUE(eventually([&] { return house.phone_heard("The broker did not keep our session"); }))
        << house.get("/health").dump(2) << house.daemon_log();
    EXPECT_THAT(house.impairment("broker_session_lost"), HasSubstr("what sensors sent while we were away"));
}

TEST(Faults, ATwinWithOurClientIdIsToldAndPressureRings) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    // The twin comes back each time it is thrown out, as clients do.
    const auto twin_comes = [&] {
        const MqttPeer twin{house.broker.url(), "gyled"};
        return eventually([&] { return house.get("/health").value("broker_connected", false); }, 5s);
    };
    ASSERT_TRUE(eventually([&] { return twin_comes() && !house.impairment("rival_client").empty(); }))
        << house.daemon_log();

    MqttPeer sensor{house.broker.url(), "transducer"};
    expect_pressure_rings(
        house, [&](const std::string& payload) { sensor.publish("cellar/north/head_pressure", payload); });
    EXPECT_LT(count(house.daemon_log(), "the broker mqtt://"), 20U) << "the log is not flooded";
}

TEST(Faults, OversizedMessagesNeverReachTheSpoolAndAreTold) {
    House house;
    house.start_daemon();
    house.await_subscription();
    MqttPeer stranger{house.broker.url(), "stranger"};
    for (int i = 0; i < 20; ++i) stranger.publish("cellar/north/gravity", std::string(1'000'000, 'x'));
    stranger.publish("cellar/north/gravity", document("sg", 1.039, wall_clock()));

    ASSERT_TRUE(eventually([&] { return house.stored("gravity") == 1; })) << house.daemon_log();
    EXPECT_TRUE(eventually([&] {
        return house.impairment("readings_lost").find("20 messages of more than 64 KiB") != std::string::npos;
    })) << house.get("/health").dump(2);
    EXPECT_THAT(house.get("/api/sensors").at("rejected").dump(), ::testing::Not(HasSubstr("too_long")))
        << "it came as far as the sensors";
}

TEST(Faults, AThousandBadMessagesAreALineInTheLogAndNotAThousand) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.broker.publish_from_outside("cellar/north/gravity",
                                      std::vector<std::string>(2'000, "no number at all"));
    MqttPeer sensor{house.broker.url(), "float"};
    sensor.publish("cellar/north/gravity", document("sg", 1.039, wall_clock()));

    ASSERT_TRUE(eventually([&] { return house.stored("gravity") == 1; })) << house.daemon_log();
    const std::size_t lines = count(house.daemon_log(), "rejected");
    EXPECT_GE(lines, 1U);
    EXPECT_LE(lines, 3U) << house.daemon_log();
}

TEST(Faults, AnUnwritableSpoolDoesNotKeepTheWatchFromStarting) {
    House house;
    house.edit_config("[storage]\n", "[storage]\nspool = \"/nowhere at all/spool\"\n");
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    MqttPeer sensor{house.broker.url(), "transducer"};

    expect_pressure_rings(
        house, [&](const std::string& payload) { sensor.publish("cellar/north/head_pressure", payload); });
    EXPECT_THAT(house.impairment("spool_failing"), HasSubstr("/nowhere at all/spool"));
}

TEST(Faults, AFullSpoolOfLongMessagesIsTakenUp) {
    House house;
    const std::size_t left = house.fill_spool(60'000);
    ASSERT_GT(left, 1'000U) << "64 MiB of them";

    house.start_daemon();

    EXPECT_TRUE(eventually([&] { return house.stored("gravity") == left; }, 60s))
        << house.stored("gravity") << " of " << left << house.daemon_log();
}

}  // namespace
}  // namespace gyled::integration
