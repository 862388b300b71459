/// The store fails, in every way that a disk or a person can think of: the watch goes on, and says so.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <unistd.h>

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

/// The phone hears of a pressure within ten seconds of its reading.
void expect_pressure_rings(House& house) {
    MqttPeer sensor{house.broker.url(), "transducer"};
    sensor.publish("cellar/north/head_pressure", document("kpa", alarming_kpa, wall_clock()));
    EXPECT_TRUE(eventually([&] { return house.phone_heard("1.50 bar"); }, 10s)) << house.daemon_log();
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
    EXPECT_TRUE(eventually([&] { return !house.impairment("store_renewed").empty(); }, 10s))
        << house.daemon_log();
    EXPECT_TRUE(eventually([&] { return house.phone_heard("put aside"); }, 10s)) << house.daemon_log();
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

    EXPECT_TRUE(eventually([&] { return !house.impairment("store_renewed").empty(); }, 20s))
        << house.daemon_log();
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
    EXPECT_TRUE(eventually([&] { return !house.impairment("store_failing").empty(); }, 10s));

    const rlimit plenty{RLIM_INFINITY, RLIM_INFINITY};
    ASSERT_EQ(::prlimit(house.daemon_pid(), RLIMIT_FSIZE, &plenty, nullptr), 0);
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") == 1; }, 15s)) << house.daemon_log();
    EXPECT_TRUE(house.get("/health").at("store_ok").get<bool>());
    EXPECT_EQ(house.stop_daemon(), 0);
}

/// A folder that turns read-only under the daemon's feet, as a disk is remounted that makes mistakes: in a
/// mount namespace of the daemon's own.
class ReadOnlyFolder {
public:
    explicit ReadOnlyFolder(std::string path) : path_{std::move(path)} { fs::create_directory(path_); }
    /// What runs the daemon so.
    [[nodiscard]] std::vector<std::string> wrapper() const {
        std::vector<std::string> words{"/usr/bin/unshare", "--mount"};
        if (::geteuid() != 0) words.insert(words.end(), {"--user", "--map-root-user"});
        const char* const script = R"(mount --bind "$0" "$0" && mount -o remount,ro,bind "$0" && exec "$@")";
        words.insert(words.end(), {"/bin/sh", "-c", script, path_});
        return words;
    }
    /// Does this machine let us?
    [[nodiscard]] bool can_be(const std::string& scratch) const {
        std::vector<std::string> attempt = wrapper();
        attempt.emplace_back("/bin/true");
        return run(attempt, scratch).code == 0;
    }
    /// For the daemon of that number it can be written again.
    [[nodiscard]] bool mend(pid_t daemon, const std::string& scratch) const {
        std::vector<std::string> words{"/usr/bin/nsenter", "--target", std::to_string(daemon), "--mount"};
        if (::geteuid() != 0) words.insert(words.end(), {"--user", "--preserve-credentials"});
        words.insert(words.end(), {"/bin/mount", "-o", "remount,rw,bind", path_});
        return run(words, scratch).code == 0;
    }

private:
    std::string path_;
};

TEST(Faults, AReadOnlyDiskAtTheStartIsToldEverywhereAndPressureIsWatched) {
    House house;
    const ReadOnlyFolder disk{house.path("disk")};
    if (!disk.can_be(house.path("out"))) GTEST_SKIP() << "mounting is not allowed here";
    house.edit_config("path = \"gyled.db\"", "path = \"disk/gyled.db\"");
    house.start_daemon();
    house.await_subscription();
    house.start_batch(wall_clock() - 1h);
    EXPECT_EQ(house.stop_daemon(), 0);

    house.start_daemon(disk.wrapper());

    EXPECT_EQ(house.get("/api/vessels/north").at("batch").at("name"), "Harbour Mild")
        << "it can still be read";
    house.await_subscription();
    expect_pressure_rings(house);
    EXPECT_FALSE(house.get("/health").at("store_ok").get<bool>());
    for (const char* const trouble : {"store_failing", "spool_failing"})
        EXPECT_TRUE(!house.impairment(trouble).empty()) << trouble << house.daemon_log();
    // delays are looked at once a minute
    EXPECT_TRUE(eventually([&] { return house.phone_heard("Nothing can be stored"); }, 75s))
        << house.daemon_log();
    EXPECT_NE(house.gyle({"status"}).said.find("The watch is impaired"), std::string::npos);
    EXPECT_NE(house.daemon_log().find("disk/gyled.db"), std::string::npos);

    ASSERT_TRUE(disk.mend(house.daemon_pid(), house.path("out")));
    EXPECT_TRUE(eventually([&] { return house.get("/health").at("store_ok").get<bool>(); }, 15s))
        << house.daemon_log();
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure", "disk/gyled.db") == 1; }, 15s))
        << "and the pressure is in it" << house.daemon_log();
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
    EXPECT_TRUE(eventually([&] { return !house.impairment("store_renewed").empty(); }, 10s))
        << house.daemon_log();
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
