/// The whole job with real parts, killed in between.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using base::Timestamp;
using testing::eventually;
using ::testing::HasSubstr;
using testing::MqttPeer;

/// A plain ale by formula: enough for the chain from payload to estimate; the simulations hold the numbers to
/// account.
double gravity_after(double hours) {
    return 1.010 + 0.030 / (1 + std::exp((hours - 40) / 9));
}

class Sensors {
public:
    Sensors(House& house, Timestamp begin) : peer_{house.broker.url(), "sensors"}, begin_{begin} {}

    /// Every quarter of an hour in [from, to): temperature, gravity and pressure, QoS 1, acknowledged by the
    /// broker.
    void publish(Timestamp from, Timestamp to, double kpa = 0.4) {
        for (Timestamp t = from; t < to; t += 15min) {
            const double hours = base::hours_between(begin_, t);
            peer_.publish("cellar/north/beer_temperature",
                          document("celsius", 19.2 + 0.1 * std::sin(hours), t));
            peer_.publish("cellar/north/gravity", document("sg", gravity_after(hours), t));
            peer_.publish("cellar/north/head_pressure", document("kpa", kpa + 0.05 * std::sin(hours * 3), t));
            ++count;
        }
    }
    std::size_t count = 0;

private:
    MqttPeer peer_;
    Timestamp begin_;
};

double estimate(const Json& vessel, const std::string& quantity) {
    if (!vessel.is_object()) return NAN;
    const auto& estimates = vessel.at("estimates");
    return estimates.contains(quantity) ? estimates.at(quantity).at("value").get<double>() : NAN;
}

TEST(WholeJob, KeepsEveryReadingAndItsBeliefsThroughDeathsOfBrokerAndDaemon) {
    House house;
    house.start_daemon();
    house.await_subscription();
    const Timestamp now = std::chrono::floor<std::chrono::minutes>(wall_clock());
    const Timestamp begin = now - 72h;
    house.start_batch(begin);
    Sensors sensors{house, begin};

    // a quiet phase
    sensors.publish(begin, now - 12h);
    ASSERT_TRUE(eventually([&] { return house.stored("gravity") == sensors.count; }, 60s))
        << house.stored("gravity") << " of " << sensors.count << house.get("/api/sensors").dump(2)
        << house.daemon_log();
    ASSERT_TRUE(eventually(
        [&] { return !std::isnan(estimate(house.get("/api/vessels/north"), "final_gravity")); }, 60s))
        << house.get("/api/vessels/north").dump(2);
    // late readings have settled when nothing has moved for longer than the core waits for stragglers
    Json before;
    ASSERT_TRUE(eventually(
        [&] {
            const Json last = std::exchange(before, house.get("/api/vessels/north").at("estimates"));
            std::this_thread::sleep_for(4s);
            return last == before && last.contains("co2_volumes");
        },
        90s))
        << before.dump(2);

    // the daemon dies; the restarted one believes what the dead one believed
    house.kill_daemon();
    house.start_daemon();
    const Json after = house.get("/api/vessels/north").at("estimates");
    ASSERT_TRUE(after.contains("co2_volumes")) << before.dump(2) << after.dump(2) << house.daemon_log();
    for (const auto& name :
         {"gravity_now", "final_gravity", "apparent_attenuation", "alcohol_by_volume", "co2_volumes"})
        EXPECT_NEAR(after.at(name).at("value").get<double>(), before.at(name).at("value").get<double>(), 1e-6)
            << name;
    EXPECT_EQ(house.get("/api/vessels/north").at("batch").at("name"), "Harbour Mild");

    // a quiet phase while the daemon is dead: the broker keeps it
    house.kill_daemon();
    sensors.publish(now - 12h, now - 6h);
    house.start_daemon();
    ASSERT_TRUE(eventually([&] { return house.stored("gravity") == sensors.count; }, 60s))
        << house.daemon_log();

    // the broker dies and comes back
    house.broker.kill();
    ASSERT_TRUE(eventually([&] { return !house.get("/health").value("broker_connected", true); }, 60s) ||
                house.get("/health").is_null());
    house.broker.start();
    ASSERT_TRUE(eventually(
        [&] {
            const Json health = house.get("/health");
            return health.is_object() && health.value("broker_connected", false);
        },
        90s))
        << house.daemon_log();
    Sensors again{house, begin};
    again.publish(now - 6h, now);
    EXPECT_TRUE(eventually([&] { return house.stored("gravity") == sensors.count + again.count; }, 60s))
        << house.stored("gravity") << " of " << sensors.count + again.count << house.daemon_log();
    EXPECT_EQ(house.stored("head_pressure"), house.stored("gravity"));
    EXPECT_EQ(house.stored("beer_temperature"), house.stored("gravity"));

    EXPECT_EQ(house.stop_daemon(), 0) << house.daemon_log();
}

TEST(WholeJob, RingsThePhoneExactlyOnceForAnAlarmThatOutlivesTheDaemon) {
    House house;
    house.start_daemon();
    house.await_subscription();
    const Timestamp now = wall_clock();
    house.start_batch(now - 1h);
    MqttPeer sensor{house.broker.url(), "transducer"};

    // 150 kPa: above 80 % of the 180 kPa that the relief valve is set to
    sensor.publish("cellar/north/head_pressure", document("kpa", 150, now));
    ASSERT_TRUE(eventually([&] { return !house.phone.heard().empty(); }))
        << house.get("/api/sensors").dump(2) << house.daemon_log();
    const Json message = Json::parse(house.phone.heard().front().body);
    EXPECT_EQ(message.at("topic"), "harbour");
    EXPECT_THAT(message.at("title").get<std::string>(), HasSubstr("North"));
    EXPECT_THAT(message.at("message").get<std::string>(), HasSubstr("1.50 bar"));
    EXPECT_THAT(message.at("message").get<std::string>(), HasSubstr("relief"));

    // the delivery is on record before the daemon dies
    ASSERT_TRUE(
        eventually([&] { return house.daemon_log().find("delivered to phone") != std::string::npos; }));
    house.kill_daemon();
    house.start_daemon();
    sensor.publish("cellar/north/head_pressure", document("kpa", 150.2, wall_clock()));
    ASSERT_TRUE(eventually([&] { return house.stored("head_pressure") == 2; }));
    const Json vessel = house.get("/api/vessels/north");
    ASSERT_EQ(vessel.at("alarms").size(), 1u) << vessel.dump(2);
    EXPECT_EQ(house.phone.heard().size(), 1u);

    const Ran acknowledged =
        house.gyle({"alarms", "--acknowledge", vessel.at("alarms").at(0).at("alarm").get<std::string>()});
    EXPECT_EQ(acknowledged.code, 0) << acknowledged.said;
    EXPECT_EQ(house.get("/api/vessels/north").at("alarms").at(0).at("state"), "acknowledged");
    EXPECT_EQ(house.stop_daemon(), 0);
    EXPECT_EQ(house.phone.heard().size(), 1u);
}

TEST(WholeJob, RefusesNonsenseWithAReasonAndLosesNothing) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    MqttPeer sensor{house.broker.url(), "babbler"};
    const std::vector<std::string> nonsense{"",
                                            "nonsense",
                                            "{",
                                            "[]",
                                            "{\"sg\":null}",
                                            "{\"sg\":\"warm\"}",
                                            "{\"sg\":1e999}",
                                            "{\"sg\":7}",
                                            std::string(60'000, '['),
                                            std::string("\xff\xfe\0\x01", 4)};

    for (const std::string& payload : nonsense) sensor.publish("cellar/north/gravity", payload);
    sensor.publish("cellar/north/gravity", document("sg", 1.039, wall_clock()));

    ASSERT_TRUE(eventually([&] { return house.stored("gravity") == 1; })) << house.daemon_log();
    const Json sensors = house.get("/api/sensors");
    std::size_t rejected = 0;
    for (const auto& [reason, count] : sensors.at("rejected").items()) rejected += count.get<std::size_t>();
    EXPECT_EQ(rejected, nonsense.size()) << sensors.dump(2);
    EXPECT_GE(sensors.at("rejected").size(), 4u) << "each kind has a reason of its own";
    EXPECT_TRUE(house.daemon_lives());

    EXPECT_EQ(house.gyle({"measure", "north", "gravity", "hot"}).code, 1) << "the daemon understands values";
    EXPECT_EQ(house.gyle({"measure", "nowhere", "gravity", "1.012"}).code, 1);
    EXPECT_EQ(house.gyle({"measure", "north", "gravitas", "1.012"}).code, 1);
    EXPECT_EQ(house.gyle({"batch", "next", "north"}).code, 1) << "the plan has no further stage";
    EXPECT_EQ(house.gyle({"measure", "north", "gravity", "1.0385"}).code, 0);
    EXPECT_EQ(run({GYLED, "--config", house.path("batch.toml"), "--check-config"}, house.path("out")).code,
              2);
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(WholeJob, TakesTheVirtualVesselsHistoryAndShowsItOnTheDashboards) {
    House house;
    house.start_daemon();
    house.await_subscription();
    const std::string begin = base::to_rfc3339(std::chrono::floor<std::chrono::minutes>(wall_clock() - 288h));
    const Ran files = run({GYLE_VESSEL, "--scenario", "twelve-days", "--begin", begin, "--topic-prefix",
                           "cellar/north", "--batch-file", house.path("ale.toml")},
                          house.path("out"));
    ASSERT_EQ(files.code, 0) << files.said;
    ASSERT_EQ(house.gyle({"batch", "start", house.path("ale.toml")}).code, 0);

    const Ran sailed =
        run({GYLE_VESSEL, "--scenario", "twelve-days", "--begin", begin, "--topic-prefix", "cellar/north",
             "--broker", house.broker.url(), "--backfill", "12d", "--for", "1s"},
            house.path("out"));
    ASSERT_EQ(sailed.code, 0) << sailed.said;
    // an ordinary thermometer reads once a minute
    EXPECT_TRUE(eventually([&] { return house.stored("beer_temperature") >= 288 * 60; }, 60s))
        << house.stored("beer_temperature") << house.daemon_log();
    ASSERT_TRUE(eventually(
        [&] { return !std::isnan(estimate(house.get("/api/vessels/north"), "co2_volumes")); }, 20s))
        << house.get("/api/vessels/north").dump(2) << house.get("/api/vessels").dump() << house.daemon_log();
    ASSERT_TRUE(house.daemon_lives()) << house.daemon_log();
    const double believed = estimate(house.get("/api/vessels/north"), "gravity_now");
    EXPECT_GT(believed, 1.000);
    EXPECT_LT(believed, 1.060);
    EXPECT_EQ(house.stop_daemon(), 0);

    const Ran checked =
        run({"/usr/bin/env", "python3", GYLED_SOURCE_DIR "/tests/dashboards/check_dashboards.py", "--db",
             house.database(), "--may-be-empty", "Temperature ($temperature_unit)", "--may-be-empty",
             "Fermentation finishes"},
            house.path("out"));
    EXPECT_EQ(checked.code, 0) << checked.said;
}

TEST(WholeJob, StartsWhileTheBrokerIsStillDown) {
    House house;
    house.broker.stop();
    house.start_daemon();
    EXPECT_FALSE(house.get("/health").is_object() && house.get("/health").value("broker_connected", true));

    house.broker.start();
    ASSERT_TRUE(eventually(
        [&] {
            const Json health = house.get("/health");
            return health.is_object() && health.value("broker_connected", false);
        },
        60s))
        << house.daemon_log();
    EXPECT_EQ(house.stop_daemon(), 0);
}

}  // namespace
}  // namespace gyled::integration
