/// What takes minutes: listed only when GYLED_LONG_FAULTS is set (tests/suites.cmake), labelled long_faults.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <random>
#include <thread>

#include "daemon/storage/queries.hpp"
#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using testing::eventually;

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

TEST(LongFaults, FiftyKillsInFortyThousandReadingsLoseDoubleAndInventNone) {
    constexpr int kills = 50, each = 400;  // of both kinds in each life: 40,000 in all
    House house;
    std::ofstream{house.path("gyled.toml"), std::ios::app}
        << "[[sensor]]\nid = \"gauge\"\nvessel = \"north\"\nmeasures = \"supply_pressure\"\n"
        << "topic = \"cellar/north/supply\"\nunit = \"kPa\"\n";
    house.start_daemon();
    house.await_subscription();
    std::mt19937 dice{20261126};
    const base::Timestamp begin = wall_clock() - 2h;

    for (int life = 0; life < kills; ++life) {
        std::vector<std::string> dated, undated;
        for (int i = life * each; i < (life + 1) * each; ++i) {
            dated.push_back(document("kpa", i / 1000.0, begin + i * 100ms));
            undated.push_back(std::to_string(i / 1000) + '.' + std::to_string(1000 + i % 1000).substr(1));
        }
        std::thread one{[&] { house.broker.publish_from_outside("cellar/north/head_pressure", dated); }};
        std::thread other{[&] { house.broker.publish_from_outside("cellar/north/supply", undated); }};
        std::this_thread::sleep_for(std::chrono::milliseconds{std::uniform_int_distribution{0, 150}(dice)});
        house.kill_daemon();
        one.join();
        other.join();
        house.start_daemon();
    }

    constexpr int published = kills * each;
    EXPECT_TRUE(eventually([&] { return house.stored("head_pressure") >= published; }, 60s));
    EXPECT_TRUE(eventually([&] { return house.stored("supply_pressure") >= published; }, 30s));
    std::this_thread::sleep_for(2s);  // a double would come behind
    const Ledger dated = compare(counts_in(house, "head_pressure"), published);
    const Ledger undated = compare(counts_in(house, "gauge"), published);
    EXPECT_EQ(dated.lost, 0) << house.get("/api/sensors").dump(2);
    EXPECT_EQ(dated.doubled, 0);
    EXPECT_EQ(dated.invented, 0);
    EXPECT_EQ(undated.lost, 0) << house.get("/api/sensors").dump(2);
    EXPECT_EQ(undated.doubled, 0);
    EXPECT_EQ(undated.invented, 0);
    EXPECT_EQ(house.stop_daemon(), 0);
}

}  // namespace
}  // namespace gyled::integration
