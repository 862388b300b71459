/// What takes minutes: listed only when GYLED_LONG_FAULTS is set (tests/suites.cmake), labelled long_faults.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <algorithm>
#include <csignal>
#include <map>
#include <memory>
#include <random>
#include <thread>

#include "daemon/storage/queries.hpp"
#include "tests/integration/fake_wall.hpp"
#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using testing::eventually;
using testing::MqttPeer;

/// How often each value of a sensor stands in the store; values count thousandths.
std::map<long, int> counts_in(const House& house, const std::string& sensor) {
    std::map<long, int> counts;
    const storage::ReadStore store{house.database()};
    store.for_each_reading("north", base::Timestamp{}, base::Timestamp::max(),
                           [&](const cellar::ReadingPoint& reading) {
                               if (reading.sensor == sensor) ++counts[std::lround(reading.value * 1000)];
                           });
    return counts;
}

struct Ledger {
    int lost = 0, doubled = 0, invented = 0;
};

Ledger compare(const std::map<long, int>& counts, int published) {
    Ledger ledger;
    for (int i = 0; i < published; ++i) ledger.lost += counts.contains(i) ? 0 : 1;
    for (const auto& [value, count] : counts) {
        ledger.doubled += count - 1;
        ledger.invented += value < 0 || value >= published ? 1 : 0;
    }
    return ledger;
}

/// A gauge that sends bare numbers, without a time of their own, beside one that dates what it says.
constexpr const char* bare_gauge = R"(
[[sensor]]
id = "gauge"
vessel = "north"
measures = "supply_pressure"
topic = "cellar/north/supply"
unit = "kPa"
)";

/// The nth reading, as the sensor that dates it says it.
std::string dated(int n, base::Timestamp begin) {
    return document("kpa", n / 1000.0, begin + n * 100ms);
}
/// Those of the other one, from the nth up to the last but one.
std::vector<std::string> undated(int n, int end) {
    std::vector<std::string> said;
    for (; n < end; ++n)
        said.push_back(std::to_string(n / 1000) + '.' + std::to_string(1000 + n % 1000).substr(1));
    return said;
}

/// So many of both have been published: each stands in the store, once.
void expect_each_once(House& house, int published) {
    const auto count = static_cast<std::size_t>(published);
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") >= count; }, 60s));
    EXPECT_TRUE(eventually([&] { return house.stored("supply_pressure") >= count; }, 30s));
    std::this_thread::sleep_for(2s);  // a double would come behind
    for (const char* const sensor : {"head_pressure", "gauge"}) {
        const Ledger ledger = compare(counts_in(house, sensor), published);
        EXPECT_EQ(ledger.lost, 0) << sensor << house.get("/api/sensors").dump(2);
        EXPECT_EQ(ledger.doubled, 0) << sensor;
        EXPECT_EQ(ledger.invented, 0) << sensor;
    }
}

TEST(LongFaults, FiftyKillsInFortyThousandReadingsLoseDoubleAndInventNone) {
    constexpr int kills = 50, each = 400;  // of both kinds in each life: 40,000 in all
    House house{bare_gauge};
    house.start_daemon();
    house.await_subscription();
    std::mt19937 dice{20261126};
    const base::Timestamp begin = wall_clock() - 2h;

    for (int life = 0; life < kills; ++life) {
        std::vector<std::string> with_time;
        for (int i = life * each; i < (life + 1) * each; ++i) with_time.push_back(dated(i, begin));
        const auto without = undated(life * each, (life + 1) * each);
        std::thread one{[&] { house.broker.publish_from_outside("cellar/north/head_pressure", with_time); }};
        std::thread other{[&] { house.broker.publish_from_outside("cellar/north/supply", without); }};
        std::this_thread::sleep_for(std::chrono::milliseconds{std::uniform_int_distribution{0, 150}(dice)});
        house.kill_daemon();
        one.join();
        other.join();
        house.start_daemon();
    }

    expect_each_once(house, kills * each);
    EXPECT_EQ(house.stop_daemon(), 0);
}

/// A sensor that says each reading until the broker has acknowledged it, as QoS 1 wants it: over restarts of
/// the broker too.
class Steadfast {
public:
    explicit Steadfast(std::string url) : url_{std::move(url)} {}
    void publish(const std::string& topic, const std::string& payload) {
        while (!is_acknowledged(topic, payload)) std::this_thread::sleep_for(20ms);
    }

private:
    bool is_acknowledged(const std::string& topic, const std::string& payload) try {
        if (!peer_) peer_ = std::make_unique<MqttPeer>(url_, "steadfast");
        peer_->publish(topic, payload);
        return true;
    } catch (const std::exception&) {
        peer_.reset();
        return false;
    }
    std::string url_;
    std::unique_ptr<MqttPeer> peer_;
};

/// The broker ends in the middle of what a sensor sends, and with a thousand messages for us, some of them
/// under way. A sensor whose readings carry their time speaks on through it and says again what was not
/// acknowledged; the other, whose second word nobody could tell from its first, is silent while the broker is
/// away.
TEST(LongFaults, TenOrderlyRestartsOfTheBrokerInFortyThousandReadingsLoseDoubleAndInventNone) {
    constexpr int restarts = 10, each = 2'000;  // of both kinds around each restart: 40,000 in all
    House house{bare_gauge};
    house.start_daemon();
    house.await_subscription();
    const base::Timestamp begin = wall_clock() - 2h;
    Steadfast steadfast{house.broker.url()};

    for (int restart = 0; restart < restarts; ++restart) {
        const int first = restart * each, half = first + each / 2, end = first + each;
        std::thread speaks_on{[&] {
            for (int i = first; i < end; ++i)
                steadfast.publish("cellar/north/head_pressure", dated(i, begin));
        }};
        house.broker.publish_from_outside("cellar/north/supply", undated(first, half));
        ::kill(house.daemon_pid(), SIGSTOP);
        house.broker.publish_from_outside("cellar/north/supply", undated(half, end));
        house.broker.stop();
        ::kill(house.daemon_pid(), SIGCONT);
        house.broker.start();
        speaks_on.join();
    }

    expect_each_once(house, restarts * each);
    EXPECT_TRUE(house.get("/health").at("broker_connected").get<bool>());
    EXPECT_EQ(house.stop_daemon(), 0);
}

/// The longest that /health let us wait, asked again and again until `until` holds.
template <class Claim>
std::chrono::milliseconds longest_wait(const House& house, Claim until, std::chrono::seconds patience) {
    std::chrono::milliseconds longest{};
    EXPECT_TRUE(eventually(
        [&] {
            const auto begin = std::chrono::steady_clock::now();
            (void)house.get("/health");
            longest = std::max(longest, std::chrono::duration_cast<std::chrono::milliseconds>(
                                            std::chrono::steady_clock::now() - begin));
            std::this_thread::sleep_for(50ms);
            return until();
        },
        patience))
        << house.daemon_log();
    return longest;
}

TEST(LongFaults, AFullSpoolOfShortMessagesIsTakenUpAndKeepsNoDangerWaiting) {
    House house;
    const std::size_t left = house.fill_spool(0);
    ASSERT_GT(left, 500'000U) << "64 MiB of them";

    house.start_daemon();
    house.await_subscription();
    MqttPeer sensor{house.broker.url(), "transducer"};
    sensor.publish("cellar/north/head_pressure", document("kpa", 189, wall_clock()));

    EXPECT_TRUE(eventually([&] { return house.phone_heard("1.89 bar"); }, 10s)) << house.daemon_log();
    EXPECT_EQ(house.stored("head_pressure"), 0U) << "it is stored in its turn";
    EXPECT_TRUE(eventually([&] { return house.stored("gravity") == left; }, 5min))
        << house.stored("gravity") << " of " << left << house.daemon_log();
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") == 1; }, 10s));
}

constexpr const char* thermometers = R"(
[[sensor]]
id = "array"
vessel = "north"
measures = "room_temperature"
topic = "cellar/north/room"
payload = "senml"
pointer = "north/room"
unit = "degC"
)";

/// A pack of so many readings, a tenth of a second apart.
std::string pack(base::Timestamp begin, int readings) {
    Json records = Json::array();
    for (int i = 0; i < readings; ++i) records.push_back({{"v", 18 + i % 7 * 0.1}, {"t", i * 0.1}});
    records[0].update({{"bn", "north/room"}, {"bu", "Cel"}, {"bt", base::unix_seconds(begin)}});
    return records.dump();
}

/// More readings than memory has room for (1,000,000) come while the database takes nothing.
TEST(LongFaults, AStoreThatFailsForLongLosesNoneOfAMillionReadingsAndMore) {
    constexpr int packs = 1'600, each = 1'000;
    constexpr std::size_t readings = packs * each;
    House house{thermometers};
    house.start_daemon(
        {"/usr/bin/prlimit", "--fsize=6291456:unlimited"});  // more than a segment of the spool
    house.await_subscription();
    MqttPeer sensor{house.broker.url(), "transducer"};
    const auto pressure_rings = [&](double kpa, const char* words) {
        sensor.publish("cellar/north/head_pressure", document("kpa", kpa, wall_clock()));
        EXPECT_TRUE(eventually([&] { return house.phone_heard(words); }, 10s)) << house.daemon_log();
    };

    const base::Timestamp begin = wall_clock() - 48h;
    std::vector<std::string> said;
    for (int i = 0; i < packs; ++i) said.push_back(pack(begin + i * each * 100ms, each));
    house.broker.publish_from_outside("cellar/north/room", said);
    ASSERT_TRUE(eventually([&] { return !house.impairment("readings_unstored").empty(); }, 120s))
        << house.get("/health").dump(2) << house.daemon_log();
    EXPECT_NE(house.impairment("store_failing"), "");
    pressure_rings(150, "1.50 bar");

    const rlimit plenty{RLIM_INFINITY, RLIM_INFINITY};
    ASSERT_EQ(::prlimit(house.daemon_pid(), RLIMIT_FSIZE, &plenty, nullptr), 0);
    ASSERT_TRUE(eventually([&] { return house.impairment("store_failing").empty(); }, 15s))
        << house.daemon_log();
    pressure_rings(189, "1.89 bar");
    const auto is_all_stored = [&] { return house.impairment("readings_unstored").empty(); };
    EXPECT_LT(longest_wait(house, is_all_stored, 300s), 2s) << "the loop is not held up";

    EXPECT_EQ(house.impairment("readings_lost"), "");
    EXPECT_TRUE(eventually([&] { return house.stored("room_temperature") == readings; }, 20s))
        << house.stored("room_temperature") << house.daemon_log();
    EXPECT_EQ(house.stop_daemon(), 0);
}

/// A wall clock that is five years ahead and stays so is followed after a minute.
TEST(LongFaults, AWallClockThatStaysFiveYearsAheadIsFollowedAndNothingIsDeleted) {
    House house;
    house.edit_config("commit_every = \"1s\"\n", "commit_every = \"1s\"\nkeep_raw_days = 30\n");
    const FakeWall wall{house.path("wall")};
    house.start_daemon(wall.wrapper());
    house.await_subscription();
    const base::Timestamp now = wall_clock(), begin = now - 24h * 12;
    house.start_batch(begin);
    std::vector<std::string> history;
    for (base::Timestamp t = begin; t < now; t += 15min) history.push_back(document("celsius", 19.2, t));
    house.broker.publish_from_outside("cellar/north/beer_temperature", history);
    ASSERT_TRUE(eventually([&] { return house.stored("beer_temperature") == history.size(); }, 60s));

    wall.set_ahead(24h * 365 * 5);
    const auto is_followed = [&] {
        return house.impairment("clock_jumped").find("the watch follows") != std::string::npos;
    };
    EXPECT_LT(longest_wait(house, is_followed, 90s), 2s) << "the loop is not deaf";

    const auto pressure_rings = [&](double kpa, const char* words) {
        MqttPeer sensor{house.broker.url(), "transducer"};
        sensor.publish("cellar/north/head_pressure", document("kpa", kpa, wall_clock() + 24h * 365 * 5));
        EXPECT_TRUE(eventually([&] { return house.phone_heard(words); }, 10s)) << house.daemon_log();
    };
    pressure_rings(189, "1.89 bar");
    EXPECT_EQ(house.stop_daemon(), 0);
    house.start_daemon(wall.wrapper());  // a new run, which knows no better time
    house.await_subscription();
    pressure_rings(226, "2.26 bar");
    EXPECT_EQ(house.stored("beer_temperature"), history.size());
    EXPECT_EQ(house.stop_daemon(), 0);
}

}  // namespace
}  // namespace gyled::integration
