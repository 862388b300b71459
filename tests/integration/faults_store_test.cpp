/// The store fails, in every way that a disk or a person can think of: the watch goes on, and says so.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <filesystem>
#include <fstream>

#include "daemon/storage/database.hpp"
#include "daemon/storage/store.hpp"
#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using base::Timestamp;
using testing::eventually;
using testing::MqttPeer;
namespace fs = std::filesystem;

/// Above 80 % of the 180 kPa that the relief valve is set to.
constexpr double alarming_kpa = 150;

bool phone_heard(House& house, const std::string& word) {
    for (const auto& request : house.phone.heard())
        if (request.body.find(word) != std::string::npos) return true;
    return false;
}

bool health_says(House& house, const std::string& impairment) {
    const Json health = house.get("/health");
    if (!health.is_object() || !health.contains("impairments")) return false;
    for (const Json& one : health.at("impairments"))
        if (one.at("name") == impairment) return true;
    return false;
}

/// The phone hears of a pressure within ten seconds of its reading.
void expect_pressure_rings(House& house) {
    MqttPeer sensor{house.broker.url(), "transducer"};
    sensor.publish("cellar/north/head_pressure", document("kpa", alarming_kpa, wall_clock()));
    EXPECT_TRUE(eventually([&] { return phone_heard(house, "1.50 bar"); }, 10s)) << house.daemon_log();
}

std::vector<std::string> put_aside(const House& house) {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator{fs::path{house.database()}.parent_path()})
        if (const std::string name = entry.path().filename().string(); name.starts_with("gyled.db.damaged-"))
            names.push_back(name);
    return names;
}

TEST(Faults, ADamagedStoreIsPutAsideAndPressureIsWatched) {
    House house;
    std::ofstream{house.database()} << std::string(50'000, '\x5a');

    house.start_daemon();
    house.await_subscription();

    expect_pressure_rings(house);
    EXPECT_TRUE(eventually([&] { return health_says(house, "store_renewed"); }, 10s)) << house.daemon_log();
    EXPECT_TRUE(eventually([&] { return phone_heard(house, "put aside"); }, 10s)) << house.daemon_log();
    EXPECT_EQ(put_aside(house).size(), 1u);
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") == 1; }, 10s)) << "and it is stored";
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, AStoreDeletedWhileRunningIsWrittenAnew) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    MqttPeer sensor{house.broker.url(), "hydrometer"};
    sensor.publish("cellar/north/gravity", document("sg", 1.039, wall_clock()));
    ASSERT_TRUE(eventually([&] { return house.stored("gravity") == 1; }, 10s)) << house.daemon_log();

    fs::remove(house.database());

    EXPECT_TRUE(eventually([&] { return health_says(house, "store_renewed"); }, 20s)) << house.daemon_log();
    sensor.publish("cellar/north/gravity", document("sg", 1.0385, wall_clock()));
    EXPECT_TRUE(eventually([&] { return house.stored("gravity") == 2; }, 10s)) << house.daemon_log();
    house.kill_daemon();
    house.start_daemon();
    EXPECT_EQ(house.get("/api/vessels/north").at("batch").at("name"), "Harbour Mild") << house.daemon_log();
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, AFullDiskAtTheStartWatchesPressureAndStoresOnceThereIsRoom) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    EXPECT_EQ(house.stop_daemon(), 0);

    house.start_daemon({"/usr/bin/prlimit", "--fsize=4096:unlimited"});

    EXPECT_EQ(house.get("/api/vessels/north").at("batch").at("name"), "Harbour Mild")
        << "it can still be read";
    expect_pressure_rings(house);
    EXPECT_FALSE(house.get("/health").at("store_ok").get<bool>());
    EXPECT_TRUE(eventually([&] { return health_says(house, "store_failing"); }, 10s));

    const rlimit plenty{RLIM_INFINITY, RLIM_INFINITY};
    ASSERT_EQ(::prlimit(house.daemon_pid(), RLIMIT_FSIZE, &plenty, nullptr), 0);
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") == 1; }, 15s)) << house.daemon_log();
    EXPECT_TRUE(house.get("/health").at("store_ok").get<bool>());
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, OneBrokenRecordOfABatchCostsOnlyThatBatch) {
    House house;
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    EXPECT_EQ(house.stop_daemon(), 0);
    storage::Database{house.database(), storage::Database::Access::read_write, 1s}.execute(
        "UPDATE batch SET document = 'nonsense'; INSERT INTO memory VALUES ('raw_since_ms', 'nonsense')");

    house.start_daemon();
    house.await_subscription();

    expect_pressure_rings(house);
    EXPECT_TRUE(eventually([&] { return health_says(house, "store_renewed"); }, 10s)) << house.daemon_log();
    house.start_batch(wall_clock() - 1h);
    EXPECT_TRUE(house.daemon_lives()) << house.daemon_log();
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, ReadingsWithoutATimeThatComeTogetherAreAllKept) {
    House house;
    std::ofstream{house.path("gyled.toml"), std::ios::app}
        << "[[sensor]]\nid = \"gauge\"\nvessel = \"north\"\nmeasures = \"supply_pressure\"\n"
        << "topic = \"cellar/north/supply\"\nunit = \"kPa\"\n";
    house.start_daemon();
    house.await_subscription();
    EXPECT_EQ(house.stop_daemon(), 0);
    std::vector<std::string> said;
    for (int i = 0; i < 600; ++i) said.push_back(std::to_string(100 + i));
    house.broker.publish_from_outside("cellar/north/supply", said);

    house.start_daemon();

    EXPECT_TRUE(eventually([&] { return house.stored("supply_pressure") == said.size(); }, 10s))
        << house.stored("supply_pressure") << " of " << said.size() << house.get("/api/sensors").dump(2);
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST(Faults, WhatADaemonRunByHandWritesIsNobodyElsesToRead) {
    House house;
    house.start_daemon();
    EXPECT_EQ(house.stop_daemon(), 0);

    EXPECT_EQ(fs::status(house.database()).permissions() & fs::perms::others_all, fs::perms::none);
    EXPECT_EQ(fs::status(house.database()).permissions() & fs::perms::group_write, fs::perms::none);
}

}  // namespace
}  // namespace gyled::integration
