/// Clocks that are wrong, in the whole house.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <thread>

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

}  // namespace
}  // namespace gyled::integration
