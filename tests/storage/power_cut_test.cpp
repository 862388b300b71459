/// The plug is pulled at random moments: the store opens clean, and what a person was told of is in it.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "tests/storage/cellar_notes.hpp"
#include "tests/support/power_cut_disk.hpp"

namespace gyled::storage {
namespace {

using gyled::testing::PowerCutDisk;
using ::testing::IsSupersetOf;

/// What somebody has been told, and what of the readings must be there with it.
struct Confirmed {
    std::set<std::string> alarms, delivered;
    bool batch = false;
    std::size_t readings = 0;
};

/// Half a day of a house, in commits of ten readings; now and then an alarm that is delivered, once a batch.
class House {
public:
    House(const std::string& path, std::chrono::milliseconds sync_every)
        : store_{Opening{.path = path, .sync_every = sync_every}} {}

    void live() {
        for (int round = 0; round < 120; ++round) {
            write_readings(round);
            if (round == 30) start_batch();
            if (round % 10 == 9) ring(round);
            if (round % 40 == 39) store_.checkpoint();
        }
    }

    Confirmed confirmed;
    std::size_t readings_written = 0;

private:
    void write_readings(int round) {
        std::vector<cellar::ReadingPoint> points;
        for (int i = 0; i < 10; ++i)
            points.push_back(temperature_reading(round * 5min + i * 30s, 19 + i / 7.0));
        readings_written += store_.write(readings(std::move(points)));
    }
    void start_batch() {
        cellar::VesselState state;
        state.vessel = "north";
        state.batch.emplace();
        state.batch->id = "harbour-mild";
        state.batch->plan.vessel = "north";
        state.batch->plan.stages = {batch::StagePlan{}};
        state.batch->started = pitched();
        state.batch->stages = {{.index = 0, .at = pitched(), .why = "by plan", .end_reached = {}}};
        Commit group;
        group.effects.batches = {*state.batch};
        group.states = {state};
        store_.write(group);
        confirmed.batch = true;
        confirmed.readings = readings_written;
    }
    void ring(int round) {
        const std::string id = "north/x/" + std::to_string(round);
        Commit group;
        group.effects.transitions = {step(id, alarms::AlarmState::raised, round * 5min)};
        group.effects.notices = {notice(id, {"phone"})};
        store_.write(group);
        confirmed.alarms.insert(id);
        confirmed.readings = readings_written;
        store_.outbox().delivered(store_.outbox().due(pitched(), 1).at(0).id, pitched());
        confirmed.delivered.insert(id);
    }

    Store store_;
};

std::set<std::string> standing_in(const Store& store) {
    std::set<std::string> ids;
    for (const auto& alarm : store.standing_alarms()) ids.insert(alarm.alarm);
    return ids;
}

void expect_all_confirmed(const Store& store, const Confirmed& confirmed) {
    EXPECT_EQ(store.integrity_problem(), std::nullopt);
    EXPECT_THAT(standing_in(store), IsSupersetOf(confirmed.alarms));
    for (const OutboxEntry& entry : store.outbox().due(pitched(), 100))
        EXPECT_FALSE(confirmed.delivered.contains(entry.notice.id)) << "it would ring twice";
    EXPECT_GE(store.running_batches().size(), confirmed.batch ? 1u : 0u);
    EXPECT_GE(all_readings(store).size(), confirmed.readings);
}

/// Moments to pull the plug at, in changes of the disk.
std::set<std::uint64_t> moments(std::uint64_t from, std::uint64_t to, std::size_t count, std::mt19937& dice) {
    std::set<std::uint64_t> found;
    while (found.size() < count) found.insert(std::uniform_int_distribution{from, to}(dice));
    return found;
}

std::uint64_t changes_in_all(std::chrono::milliseconds sync_every) {
    Scratch scratch;
    PowerCutDisk disk;
    House{scratch.file(), sync_every}.live();
    return disk.changes();
}

struct Cut {
    std::unique_ptr<Scratch> left;
    Confirmed confirmed;
    std::size_t readings_written = 0;
};

/// One life, and what a cut at each of the moments would have left of it.
std::vector<Cut> cuts(std::chrono::milliseconds sync_every, std::size_t count, std::uint32_t seed) {
    std::mt19937 dice{seed};
    const auto when = moments(1, changes_in_all(sync_every) - 1, count, dice);
    Scratch scratch;
    std::vector<Cut> cuts;
    PowerCutDisk disk;
    std::unique_ptr<House> house;
    disk.before_change = [&] {
        if (!when.contains(disk.changes())) return;
        const double survival = std::uniform_real_distribution{0.0, 1.0}(dice);
        Cut& cut = cuts.emplace_back(Cut{std::make_unique<Scratch>(), {}, 0});
        if (house) cut.confirmed = house->confirmed, cut.readings_written = house->readings_written;
        disk.cut_into(cut.left->folder(), dice, survival);
    };
    house = std::make_unique<House>(scratch.file(), sync_every);
    house->live();
    return cuts;
}

TEST(PowerCut, LosesNothingThatWasConfirmedToAPerson) {
    for (const Cut& cut : cuts(1h, 60, 20261126)) {
        const Store store{cut.left->file()};
        expect_all_confirmed(store, cut.confirmed);
    }
}

TEST(PowerCut, CostsNoReadingThatIsOlderThanTheStatedWindow) {
    for (const Cut& cut : cuts(0ms, 40, 4711)) {
        const Store store{cut.left->file()};
        expect_all_confirmed(store, cut.confirmed);
        EXPECT_GE(all_readings(store).size(), cut.readings_written)
            << "each commit is synced when none may wait";
    }
}

TEST(PowerCut, ReadingsAloneCostTheDiskNoSync) {
    Scratch scratch;
    PowerCutDisk disk;
    Store store{Opening{.path = scratch.file(), .sync_every = 1h}};
    const auto before = disk.syncs();

    for (int hour = 0; hour < 20; ++hour) store.write(readings({temperature_reading(hour * 1h, 19.5)}));

    EXPECT_EQ(disk.syncs(), before);
}

}  // namespace
}  // namespace gyled::storage
