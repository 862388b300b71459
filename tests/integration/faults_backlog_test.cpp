/// Readings without a time of their own, in the whole house, after nobody was there to hear them.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <thread>

#include "daemon/storage/queries.hpp"
#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using base::Timestamp;
using testing::eventually;
using testing::MqttPeer;

constexpr auto interval = 100ms;

/// A gauge that says a bare number ten times a second, and the broker that keeps it for us.
class BacklogFaults : public ::testing::Test {
protected:
    BacklogFaults() {
        std::ofstream{house.path("gyled.toml"), std::ios::app}
            << "[[sensor]]\nid = \"gauge\"\nvessel = \"north\"\nmeasures = \"supply_pressure\"\n"
            << "topic = \"cellar/north/supply\"\nunit = \"kPa\"\n";
        house.start_daemon();
        house.await_subscription();
    }

    /// Each reading counts one further, so that it is known again.
    void speak(Timestamp::duration span) {
        for (const Timestamp end = wall_clock() + span; wall_clock() < end;) {
            spoken.push_back(wall_clock());
            sensor.publish("cellar/north/supply", std::to_string(spoken.size() - 1));
            std::this_thread::sleep_until(std::chrono::system_clock::time_point{spoken.back()} + interval);
        }
    }
    [[nodiscard]] bool all_are_stored() const {
        return eventually([&] { return house.stored("supply_pressure") >= spoken.size(); }, 20s);
    }
    /// The times under which each reading is stored, by its number.
    [[nodiscard]] std::map<std::size_t, std::vector<Timestamp>> stored() const {
        std::map<std::size_t, std::vector<Timestamp>> times;
        const storage::ReadStore store{house.database()};
        store.for_each_reading(
            "north", Timestamp{}, Timestamp::max(), [&](const cellar::ReadingPoint& reading) {
                if (reading.sensor == "gauge")
                    times[static_cast<std::size_t>(std::lround(reading.value))].push_back(reading.at);
            });
        return times;
    }

    House house;
    MqttPeer sensor{house.broker.url(), "gauge"};
    std::vector<Timestamp> spoken;
};

TEST_F(BacklogFaults, ReadingsWithoutATimeThatWaitedAtTheBrokerAreStoredWhereTheyWereTaken) {
    speak(3s);
    EXPECT_EQ(house.stop_daemon(), 0);
    speak(12s);
    house.start_daemon();
    speak(3s);

    EXPECT_TRUE(all_are_stored()) << house.daemon_log();
    const auto times = stored();
    ASSERT_EQ(times.size(), spoken.size());
    for (const auto& [number, all] : times) {
        ASSERT_EQ(all.size(), 1u) << number;
        EXPECT_LE(std::chrono::abs(all.front() - spoken[number]), 1500ms)
            << number << " of " << spoken.size();
    }
}

TEST_F(BacklogFaults, ABacklogWithoutTimesInWhichTheDaemonIsKilledIsNeitherNowNorLostNorDoubled) {
    speak(3s);
    house.kill_daemon();
    const Timestamp away = wall_clock();
    std::vector<std::string> said;
    for (std::size_t i = spoken.size(); i < spoken.size() + 3'000; ++i) said.push_back(std::to_string(i));
    house.broker.publish_from_outside("cellar/north/supply", said);
    spoken.resize(spoken.size() + said.size());
    std::this_thread::sleep_for(11s);

    for (const auto life : {20ms, 100ms, 300ms}) {
        house.start_daemon();
        std::this_thread::sleep_for(life);
        house.kill_daemon();
    }
    house.start_daemon();
    EXPECT_TRUE(all_are_stored()) << house.daemon_log();
    std::this_thread::sleep_for(2s);  // a double would come behind

    const auto times = stored();
    ASSERT_EQ(times.size(), spoken.size());
    std::size_t early = 0;
    for (const auto& [number, all] : times) {
        ASSERT_EQ(all.size(), 1u) << number;
        early += number >= spoken.size() - said.size() && all.front() < away + 6s ? 1 : 0;
    }
    EXPECT_GT(early, said.size() / 3) << "spread over the absence";
    EXPECT_LT(early, said.size() * 2 / 3);
}

}  // namespace
}  // namespace gyled::integration
