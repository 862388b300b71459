// What the store costs: storage_bench [DAYS [VESSELS]] (default 365 days of 5 vessels, 3 sensors each, a
// reading per 15 s). Prints bytes a reading on disk, rows a second by group size, bytes handed to the file
// system for each reading at home cadence, and how long the questions take that pages and dashboards ask.

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <random>
#include <string>

#include "daemon/storage/store.hpp"

namespace {

using namespace gyled;
using namespace std::chrono_literals;
using base::Quantity;
using base::Timestamp;
namespace fs = std::filesystem;

const Timestamp start = *base::from_rfc3339("2025-03-01T00:00:00Z");

double seconds_of(const std::function<void()>& work) {
    const auto began = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
}

double best_of_three_ms(const std::function<void()>& work) {
    double best = 1e9;
    for (int i = 0; i < 3; ++i) best = std::min(best, 1000 * seconds_of(work));
    return best;
}

/// Bytes that this process has handed to write(2) and the like.
double bytes_written() {
    std::ifstream io{"/proc/self/io"};
    std::string key;
    double value = 0;
    while (io >> key >> value)
        if (key == "wchar:") return value;
    return 0;
}

/// Three sensors a vessel, each slightly after the other, in the decimals that sensors speak.
class Cellar {
public:
    explicit Cellar(int vessels) : vessels_{vessels} {}
    [[nodiscard]] int sensors() const { return 3 * vessels_; }
    void add_round(cellar::Effects& group, Timestamp at) {
        for (int vessel = 0; vessel < vessels_; ++vessel) {
            const std::string id = "vessel" + std::to_string(vessel);
            add(group, id, "-probe", Quantity::beer_temperature, at + 700ms * vessel, 100,
                19 + noise_(random_));
            add(group, id, "-gravity", Quantity::gravity, at + 700ms * vessel + 211ms, 10'000,
                1.02 + 0.001 * noise_(random_));
            add(group, id, "-pressure", Quantity::head_pressure, at + 700ms * vessel + 433ms, 100,
                80 + noise_(random_));
        }
    }

private:
    static void add(cellar::Effects& group, const std::string& vessel, const char* sensor, Quantity quantity,
                    Timestamp at, double steps, double value) {
        group.readings.push_back({.sensor = vessel + sensor,
                                  .vessel = vessel,
                                  .quantity = quantity,
                                  .at = at,
                                  .arrived = at,
                                  .value = std::round(value * steps) / steps});
    }
    int vessels_;
    std::mt19937 random_{38};
    std::normal_distribution<double> noise_{0, 0.4};
};

void add_beliefs(cellar::Effects& group, int vessels, Timestamp at) {
    for (int vessel = 0; vessel < vessels; ++vessel)
        for (const Quantity quantity : base::all_quantities())
            if (!base::is_measured(quantity))
                group.estimates.push_back({.vessel = "vessel" + std::to_string(vessel),
                                           .quantity = quantity,
                                           .at = at,
                                           .estimate = {1.01, 1.005, 1.015}});
}

void rows_by_group_size(const fs::path& folder, int vessels) {
    for (const std::size_t size : {1U, 10U, 100U, 1000U, 10'000U}) {
        const fs::path file = folder / "groups.db";
        for (const char* tail : {"", "-wal", "-shm"}) fs::remove(file.string() + tail);
        storage::Store store{file.string()};
        Cellar cellar{vessels};
        std::vector<cellar::Commit> groups(std::max<std::size_t>(200'000 / size / (size < 10 ? 20 : 1), 1));
        cellar::Effects pool;
        Timestamp at = start;
        for (auto& group : groups) {
            while (pool.readings.size() < size) cellar.add_round(pool, at += 15s);
            group.effects.readings.assign(pool.readings.begin(),
                                          pool.readings.begin() + static_cast<long>(size));
            pool.readings.erase(pool.readings.begin(), pool.readings.begin() + static_cast<long>(size));
        }
        const double took = seconds_of([&] {
            for (const auto& group : groups) store.write(group);
        });
        std::printf("  groups of %6zu: %9.0f readings/s\n", size,
                    static_cast<double>(groups.size() * size) / took);
    }
}

/// Six hours at home cadence into a store that is already old; what is written includes the checkpoints.
void wear(storage::Store& store, int vessels, Timestamp from) {
    for (const auto every : {10s, 60s, 300s}) {
        Cellar cellar{vessels};
        store.checkpoint();
        const double before = bytes_written();
        std::size_t count = 0;
        cellar::Commit group;
        Timestamp committed = from;
        for (Timestamp at = from; at < from + 6h; at += 5s) {
            if ((at - from) % 15s == 0s) cellar.add_round(group.effects, at);
            if ((at - from) % 15min == 0min) add_beliefs(group.effects, vessels, at);
            if (at - committed >= every) {
                count += store.write(group);
                group = {};
                committed = at;
            }
        }
        count += store.write(group);
        store.checkpoint();
        std::printf("  a commit every %3lld s: %6.0f bytes written a reading\n",
                    static_cast<long long>(every.count()),
                    (bytes_written() - before) / static_cast<double>(count));
        from += 6h;
    }
}

}  // namespace

int main(int argc, char** argv) {
    const int days = argc > 1 ? std::atoi(argv[1]) : 365;
    const int vessels = argc > 2 ? std::atoi(argv[2]) : 5;
    std::string pattern = (fs::temp_directory_path() / "gyled-bench-XXXXXX").string();
    if (::mkdtemp(pattern.data()) == nullptr) return 1;
    const fs::path folder{pattern};
    const std::string path = (folder / "bench.db").string();

    std::printf("%d days of %d vessels, 3 sensors each, a reading every 15 s\n", days, vessels);
    rows_by_group_size(folder, vessels);

    auto store = std::make_unique<storage::Store>(path);
    Cellar cellar{vessels};
    std::size_t count = 0;
    Timestamp at = start;
    double writing = 0;
    for (int hour = 0; hour < days * 24; ++hour) {
        cellar::Commit group;
        for (int round = 0; round < 240; ++round) cellar.add_round(group.effects, at += 15s);
        writing += seconds_of([&] { count += store->write(group); });
    }
    store->checkpoint();
    std::printf("  %zu readings: %.1f bytes each with roll-ups, %.0f readings/s by the hour\n", count,
                static_cast<double>(fs::file_size(path)) / static_cast<double>(count),
                static_cast<double>(count) / writing);

    const auto ask = [&](const char* what, std::chrono::milliseconds range, std::size_t points) {
        std::size_t got = 0;
        const double ms = best_of_three_ms(
            [&] { got = store->trend("vessel0", Quantity::gravity, at - range, at, points).at.size(); });
        std::printf("  %-28s %7.1f ms (%zu points)\n", what, ms, got);
    };
    ask("6 h to 600 points", 6h, 600);
    ask("24 h to 600 points", 24h, 600);
    ask("24 h raw", 24h, 5760);
    ask("2 days to 600 points", 48h, 600);
    ask("14 days to 600 points", 14 * 24h, 600);
    ask("90 days to 600 points", 90 * 24h, 600);
    ask("a year to 600 points", 365 * 24h, 600);
    std::size_t replayed = 0;
    const double replay = best_of_three_ms(
        [&] { replayed = store->for_each_reading("vessel0", at - 21 * 24h, at, [](const auto&) {}); });
    std::printf("  %-28s %7.1f ms (%zu readings)\n", "21 days of one vessel", replay, replayed);
    store.reset();
    std::printf("  %-28s %7.1f ms\n", "opening",
                best_of_three_ms([&] { store = std::make_unique<storage::Store>(path); }));
    wear(*store, vessels, at);
    store.reset();
    fs::remove_all(folder);
}
