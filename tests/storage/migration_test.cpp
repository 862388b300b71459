// A store that an earlier gyled really wrote (version1.sql) opens, and nothing in it is lost.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "daemon/storage/database.hpp"
#include "tests/storage/cellar_notes.hpp"

namespace gyled::storage {
namespace {

using testing::IsEmpty;
using testing::IsSupersetOf;
using testing::SizeIs;

/// As the dump was made.
std::string version_1_store(const Scratch& scratch) {
    std::ifstream file{GYLED_SOURCE_DIR "/tests/storage/version1.sql"};
    std::stringstream sql;
    sql << file.rdbuf();
    Database database{scratch.file(), Database::Access::read_write, 1s};
    database.execute(sql.str());
    database.close();
    return scratch.file();
}

std::vector<std::string> columns_of(Database& database, const std::string& view) {
    std::vector<std::string> out;
    Statement& rows = database.prepared("SELECT name FROM pragma_table_info('" + view + "')");
    while (rows.next()) out.push_back(rows.text(0));
    return out;
}

std::vector<std::string> views_of(Database& database) {
    std::vector<std::string> out;
    Statement& rows = database.prepared("SELECT name FROM sqlite_schema WHERE type = 'view' ORDER BY name");
    while (rows.next()) out.push_back(rows.text(0));
    return out;
}

TEST(AStoreOfVersion1, KeepsAllItHeld) {
    Scratch scratch;
    const Store store{version_1_store(scratch)};

    EXPECT_THAT(all_readings(store), SizeIs(79));
    EXPECT_THAT(store.running_batches(), SizeIs(2));
    EXPECT_THAT(store.batch("harbour-mild-2026-11-10")->measurements, SizeIs(1));
    EXPECT_THAT(store.batch("harbour-mild-2026-11-10")->facts, SizeIs(2));
    EXPECT_THAT(store.alarms(10), SizeIs(3));
    EXPECT_EQ(store.learned().at("harbour house").batches, 1);
    const auto due = store.outbox().due(pitched() + 24h * 3650, 10);
    ASSERT_THAT(due, SizeIs(1));
    EXPECT_EQ(due[0].messenger, "phone");
    EXPECT_EQ(due[0].attempts, 1U);
    EXPECT_EQ(store.recall("site"), "Harbour cellar");
    EXPECT_EQ(store.integrity_problem(), std::nullopt);
}

TEST(AStoreOfVersion1, IsCopiedBeforeItIsChanged) {
    Scratch scratch;
    const Store store{version_1_store(scratch)};

    Database copy{scratch.file() + ".before-v3", Database::Access::read_only, 1s};
    EXPECT_EQ(copy.number("PRAGMA user_version"), 1);
    EXPECT_EQ(copy.number("SELECT count(*) FROM reading"), 79);
    Database now{scratch.file(), Database::Access::read_only, 1s};
    EXPECT_EQ(now.number("PRAGMA user_version"), 3);
}

TEST(AStoreOfVersion1, HasViewsThatOnlyGainedColumns) {
    Scratch scratch;
    const Store store{version_1_store(scratch)};
    Database before{scratch.file() + ".before-v3", Database::Access::read_only, 1s};
    Database now{scratch.file(), Database::Access::read_only, 1s};

    const auto views = views_of(before);

    EXPECT_THAT(views_of(now), IsSupersetOf(views));
    ASSERT_THAT(views, testing::Not(IsEmpty()));
    for (const std::string& view : views) {
        const auto earlier = columns_of(before, view);
        auto later = columns_of(now, view);
        later.resize(std::min(later.size(), earlier.size()));
        EXPECT_EQ(later, earlier) << view;
        EXPECT_GE(now.number("SELECT count(*) FROM " + view), before.number("SELECT count(*) FROM " + view))
            << view;
    }
}

TEST(AStoreOfVersion1, GivesTheBestMemoryThatCanBeMade) {
    Scratch scratch;
    Store store{version_1_store(scratch)};

    const auto states = store.vessel_states();

    ASSERT_THAT(states, SizeIs(2));
    const auto &north = states[0], &south = states[1];
    EXPECT_EQ(north.vessel, "north");
    EXPECT_EQ(north.batch->id, "harbour-mild-2026-11-10");
    EXPECT_FALSE(north.batch->prior) << "it has finished: what its culture learnt is its own teaching";
    EXPECT_THAT(north.sensors, SizeIs(2));
    EXPECT_THAT(north.latest, SizeIs(2));

    EXPECT_EQ(south.batch->id, "quay-lager-2026-11-23");
    ASSERT_THAT(south.alarms.occurrences, SizeIs(1));
    EXPECT_EQ(south.alarms.occurrences[0].last.rule, "temperature_out_of_band");
    EXPECT_EQ(south.alarms.occurrences[0].state, alarms::AlarmState::raised);
    ASSERT_THAT(south.annunciations.entries, SizeIs(1)) << "the phone rang already";
    EXPECT_EQ(south.annunciations.entries[0].alarm, south.alarms.occurrences[0].last.alarm);
    EXPECT_EQ(south.latest.at(Quantity::beer_temperature).value, 13.4);
    EXPECT_GE(south.at, south.latest.at(Quantity::beer_temperature).at);

    Commit kept;
    kept.states.resize(1);
    kept.states[0].vessel = "south";
    kept.states[0].at = pitched();
    store.write(kept);
    EXPECT_THAT(store.vessel_states().at(1).alarms.occurrences, IsEmpty())
        << "what is kept goes before what is made";
}

TEST(AStoreOfVersion1, GivesARunningBatchWhatItsCultureHadLearnt) {
    Scratch scratch;
    version_1_store(scratch);
    {
        Database file{scratch.file(), Database::Access::read_write, 1s};
        file.execute(
            "UPDATE batch SET document = json_set(document, '$.facts', json('[]')) WHERE id LIKE 'harbour%'");
    }
    const Store store{scratch.file()};

    EXPECT_EQ(store.vessel_states().at(0).batch->prior, store.learned().at("harbour house"));
}

}  // namespace
}  // namespace gyled::storage
