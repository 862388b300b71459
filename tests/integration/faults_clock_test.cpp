/// Clocks that are wrong, in the whole house.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <memory>
#include <stdexcept>
#include <thread>

#include "tests/integration/fake_wall.hpp"
#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using base::Timestamp;
using testing::eventually;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using testing::MqttPeer;

TEST(Faults, ASensorWhoseClockIsFiveHoursBehindRingsThePhoneWithinTenSeconds) {
    House house;
    house.start_daemon();
    house.await_subscription();
    MqttPeer sensor{house.broker.url(), "transducer"};

    // One message only: nothing can yet be known of its clock. 198 kPa is 110 % of the relief valve's mark.
    sensor.publish("cellar/north/head_pressure", document("kpa", 198, wall_clock() - 5h));
    ASSERT_TRUE(eventually([&] { return !house.phone.heard().empty(); }, 10s)) << house.daemon_log();
    EXPECT_THAT(Json::parse(house.phone.heard().front().body).at("message").get<std::string>(),
                HasSubstr("1.98 bar"));
}

TEST(Faults, ABacklogOfHoursRingsNobody) {
    House house;
    house.start_daemon();
    house.await_subscription();
    MqttPeer sensor{house.broker.url(), "transducer"};

    const Timestamp now = wall_clock();
    for (auto ago = 5h + 0min; ago > 2h; ago -= 3min)
        sensor.publish("cellar/north/head_pressure", document("kpa", 198, now - ago));
    sensor.publish("cellar/north/head_pressure", document("kpa", 20, wall_clock()));
    ASSERT_TRUE(eventually([&] { return house.stored("head_pressure") == 61; }, 10s)) << house.daemon_log();
    std::this_thread::sleep_for(6s);  // as long as a lone late pressure waits for a backlog to follow it
    EXPECT_THAT(house.phone.heard(), IsEmpty());
}

TEST(Faults, ASensorClockTwoMinutesAheadAndThenSetRightBlindsNobody) {
    House house;
    house.start_daemon();
    house.await_subscription();
    MqttPeer sensor{house.broker.url(), "transducer"};

    sensor.publish("cellar/north/head_pressure", document("kpa", 20, wall_clock() + 110s));
    ASSERT_TRUE(eventually([&] { return house.stored("head_pressure") == 1; })) << house.daemon_log();
    sensor.publish("cellar/north/head_pressure", document("kpa", 198, wall_clock()));
    EXPECT_TRUE(eventually([&] { return !house.phone.heard().empty(); }, 10s)) << house.daemon_log();
}

/// A house whose daemon has a wall clock of its own; one reading is stored before anything is done to it.
class WrongWall : public House {
public:
    WrongWall() {
        start_daemon(wall.wrapper());
        await_subscription();
        start_batch(wall_clock() - 1h);
        sensor = std::make_unique<MqttPeer>(broker.url(), "transducer");
        says(20);
        if (!eventually([this] { return stored("head_pressure") == 1; }, 10s))
            throw std::runtime_error("nothing is stored: " + daemon_log());
    }
    void says(double kpa) const {
        sensor->publish("cellar/north/head_pressure", document("kpa", kpa, wall_clock()));
    }
    /// 105 % of what the lowest rated part is good for rings within ten seconds, and both readings are kept.
    void expect_watch_goes_on() {
        says(189);
        EXPECT_TRUE(eventually([this] { return phone_heard("1.89 bar"); }, 10s)) << daemon_log();
        EXPECT_TRUE(eventually([this] { return stored("head_pressure") == 2; }, 10s)) << daemon_log();
    }

    FakeWall wall{path("wall")};
    std::unique_ptr<MqttPeer> sensor;
};

TEST(Faults, AWallClockSetAnHourBackIsToldAndPressureRings) {
    WrongWall house;

    house.wall.set_ahead(-1h);

    EXPECT_TRUE(eventually([&] { return !house.impairment("clock_jumped").empty(); }, 10s))
        << house.daemon_log();
    EXPECT_THAT(house.gyle({"status"}).said, HasSubstr("the clock jumped"));
    house.expect_watch_goes_on();
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, AWallClockAYearAheadForTenSecondsMovesNothing) {
    WrongWall house;

    house.wall.set_ahead(24h * 365);
    std::this_thread::sleep_for(10s);
    house.wall.set_ahead(0s);

    EXPECT_TRUE(eventually(
        [&] { return house.impairment("clock_jumped").find("and came back") != std::string::npos; }, 10s))
        << house.daemon_log();
    house.expect_watch_goes_on();
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, ABootIn1970WatchesThePressureAndStoresOnceTheTimeIsKnown) {
    House house;
    const FakeWall wall{house.path("wall")};
    wall.set_to_1970();
    house.start_daemon(wall.wrapper());
    house.await_subscription();
    MqttPeer sensor{house.broker.url(), "transducer"};

    sensor.publish("cellar/north/head_pressure", document("kpa", 189, wall_clock()));
    EXPECT_TRUE(eventually([&] { return house.phone_heard("1.89 bar"); }, 10s)) << house.daemon_log();
    EXPECT_THAT(house.impairment("clock_unset"), HasSubstr("1970-01-01"));
    EXPECT_EQ(house.stored("head_pressure"), 0U) << "nothing under a false time";

    wall.set_ahead(0s);
    const Timestamp before = wall_clock() - 1min;
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") == 1; }, 10s)) << house.daemon_log();
    EXPECT_EQ(house.impairment("clock_unset"), "");
    const Json measured = house.get("/api/vessels/north").at("measured").at("head_pressure");
    EXPECT_GT(base::from_rfc3339(measured.at("at").get<std::string>()).value(), before) << measured;
    EXPECT_EQ(house.stop_daemon(), 0);
}

}  // namespace
}  // namespace gyled::integration
