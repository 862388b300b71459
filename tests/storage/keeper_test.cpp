/// Whatever becomes of the file, a store is kept, what was there is put aside whole, and it is said.

#include "daemon/storage/keeper.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <functional>
#include <iterator>

#include "daemon/storage/database.hpp"
#include "daemon/storage/schema.hpp"
#include "tests/storage/cellar_notes.hpp"
#include "tests/storage/in_a_process.hpp"

namespace gyled::storage {
namespace {

using testing::AllOf;
using testing::Each;
using testing::EndsWith;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;
namespace fs = std::filesystem;

const Timestamp now = *base::from_rfc3339("2026-11-26T02:31:00Z");

std::string bytes_of(const std::string& path) {
    std::ifstream in{path, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

void overwrite(const std::string& path, std::size_t place, const std::string& bytes) {
    std::fstream file{path, std::ios::in | std::ios::out | std::ios::binary};
    file.seekp(static_cast<long>(place));
    file << bytes;
}

Commit an_hour(Duration later = 0ms) {
    Commit group;
    for (int i = 0; i < 240; ++i)
        group.effects.readings.push_back(temperature_reading(later + i * 15s, 19 + i / 333.0));
    return group;
}

batch::Record mild(const std::string& id = "harbour-mild", const std::string& vessel = "north") {
    batch::Record batch;
    batch.id = id;
    batch.plan.name = "Harbour Mild";
    batch.plan.vessel = vessel;
    batch.plan.stages = {batch::StagePlan{}};
    batch.started = pitched();
    batch.stages = {{.index = 0, .at = pitched(), .why = "by plan", .end_reached = {}}};
    return batch;
}

cellar::VesselState north(std::optional<batch::Record> batch = mild()) {
    cellar::VesselState state;
    state.vessel = batch ? batch->plan.vessel : "north";
    state.at = pitched(1h);
    state.batch = std::move(batch);
    return state;
}

/// A day of readings, a running batch, a standing alarm, a notice on its way; closed in good order.
void make_store(const std::string& path) {
    Store store{path};
    for (int hour = 0; hour < 24; ++hour) store.write(an_hour(hour * 1h));
    Commit group;
    group.states = {north()};
    group.effects.transitions = {step("north/x/1", alarms::AlarmState::raised, 1h)};
    group.effects.notices = {notice("first", {"phone"})};
    store.write(group);
}

std::vector<std::string> names_in(const Scratch& scratch) {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator{scratch.folder()})
        names.push_back(entry.path().filename().string());
    return names;
}

std::string all_words(const Keeper& keeper) {
    std::string words;
    for (const Renewal& renewal : keeper.renewals()) words += renewal.words + '\n';
    return words;
}

Keeper keeper_of(const Scratch& scratch) {
    return Keeper{Opening{.path = scratch.file(), .busy_timeout = 200ms}, now};
}

TEST(Keeper, OfASoundStoreHasNothingToSay) {
    Scratch scratch;
    make_store(scratch.file());

    Keeper keeper = keeper_of(scratch);

    EXPECT_EQ(keeper.problem(), "");
    EXPECT_THAT(keeper.renewals(), IsEmpty());
    EXPECT_THAT(all_readings(keeper.queries()), SizeIs(24 * 240));
}

TEST(Keeper, PutsAsideWhatIsNoDatabaseAndUsesAFreshOne) {
    for (const std::string& content :
         {std::string{"Harbour Mild, brewed on Sunday\n"}, std::string(100'000, '\x5a'),
          std::string{"SQLite format 3\0 and then nothing of the kind .....", 50}}) {
        Scratch scratch;
        std::ofstream{scratch.file(), std::ios::binary} << content;

        Keeper keeper = keeper_of(scratch);

        const std::string aside = scratch.file("gyled.db.damaged-2026-11-26T02-31-00Z");
        EXPECT_EQ(bytes_of(aside), content) << "it may be all that the person has";
        EXPECT_EQ(keeper.problem(), "");
        EXPECT_EQ(keeper.write(an_hour()), 240u);
        ASSERT_THAT(keeper.renewals(), SizeIs(1));
        EXPECT_THAT(keeper.renewals()[0].words,
                    AllOf(HasSubstr(aside), HasSubstr("nothing in it could be read")));
    }
}

TEST(Keeper, TakesOverWhatCanBeReadAroundTornPages) {
    Scratch scratch;
    make_store(scratch.file());
    const std::size_t half = fs::file_size(scratch.file()) / 4096 / 2 * 4096;
    overwrite(scratch.file(), half, std::string(8192, '\x7f'));
    Keeper keeper = keeper_of(scratch);

    // nobody has come upon the damage yet; whoever does need not know what to do
    EXPECT_THROW(all_readings(keeper.queries()), StorageError);
    EXPECT_THROW(for (int day = 0; day < 400; ++day) keeper.prune(pitched(day * 24h)), StorageError);
    keeper.round(now);

    EXPECT_EQ(keeper.problem(), "");
    ASSERT_THAT(keeper.renewals(), SizeIs(1));
    EXPECT_THAT(keeper.renewals()[0].words, HasSubstr("not whole: reading"));
    EXPECT_THAT(all_readings(keeper.queries()),
                SizeIs(testing::AllOf(testing::Gt(2000u), testing::Lt(24u * 240))));
    ASSERT_THAT(keeper.queries().vessel_states(), SizeIs(1));
    EXPECT_EQ(keeper.queries().vessel_states()[0].batch->id, "harbour-mild");
    EXPECT_THAT(keeper.due(now, 10), SizeIs(1)) << "the notice is still on its way";
}

TEST(Keeper, OfAnyTruncatedStoreStarts) {
    Scratch whole;
    make_store(whole.file());
    const auto size = fs::file_size(whole.file());
    for (const std::uintmax_t left : {size / 2, std::uintmax_t{4096 + 7}, std::uintmax_t{4096},
                                      std::uintmax_t{100}, std::uintmax_t{16}}) {
        Scratch scratch;
        fs::copy(whole.file(), scratch.file());
        fs::resize_file(scratch.file(), left);

        Keeper keeper = keeper_of(scratch);
        try {
            (void)keeper.queries().vessel_states();
            (void)all_readings(keeper.queries());
            keeper.write(an_hour(48h));
        } catch (const StorageError&) {
            keeper.round(now);
        }

        EXPECT_EQ(keeper.write(an_hour(100h)), 240u) << left;
        EXPECT_THAT(keeper.renewals(), SizeIs(1)) << left;
    }
}

TEST(Keeper, LeavesANewerStoreUnharmedUnderItsOwnWord) {
    Scratch scratch;
    make_store(scratch.file());
    { Database{scratch.file(), Database::Access::read_write, 1s}.execute("PRAGMA user_version = 99"); }
    const std::string before = bytes_of(scratch.file());

    Keeper keeper = keeper_of(scratch);

    EXPECT_EQ(bytes_of(scratch.file("gyled.db.newer-2026-11-26T02-31-00Z")), before);
    EXPECT_THAT(all_words(keeper),
                AllOf(HasSubstr("install the newer gyled"), HasSubstr("nothing was taken over")));
    EXPECT_EQ(keeper.write(an_hour()), 240u);
}

TEST(Keeper, TouchesNobodyElsesDatabase) {
    Scratch scratch;
    { Database{scratch.file(), Database::Access::read_write, 1s}.execute("CREATE TABLE recipe (name TEXT)"); }
    const std::string before = bytes_of(scratch.file());

    Keeper keeper = keeper_of(scratch);

    EXPECT_THAT(keeper.problem(), HasSubstr("not one of gyled's"));
    EXPECT_THROW(keeper.write(an_hour()), StorageError);
    EXPECT_EQ(bytes_of(scratch.file()), before);
}

TEST(Keeper, KnowsAFileOfNoLengthFromANewHouse) {
    Scratch scratch;
    make_store(scratch.file());  // its log stays beside it
    fs::resize_file(scratch.file(), 0);

    const Keeper emptied = keeper_of(scratch);
    EXPECT_THAT(all_words(emptied), HasSubstr("had no content any more"));

    Scratch fresh;
    std::ofstream{fresh.file()};
    const Keeper first = keeper_of(fresh);
    EXPECT_THAT(first.renewals(), IsEmpty());
}

TEST(Keeper, MissesAFileWhoseLogIsStillThere) {
    Scratch scratch;
    make_store(scratch.file());
    fs::remove(scratch.file());

    const Keeper keeper = keeper_of(scratch);

    EXPECT_THAT(all_words(keeper), HasSubstr("the file was gone"));
}

// ---- one broken row

void spoil(const Scratch& scratch, const std::string& sql) {
    Database{scratch.file(), Database::Access::read_write, 1s}.execute(sql);
}

TEST(Keeper, SetsOneBrokenBatchAsideAndUsesTheRest) {
    Scratch scratch;
    make_store(scratch.file());
    {
        Store store{scratch.file()};
        Commit group;
        group.states = {north(mild("quay-stout", "south"))};
        store.write(group);
    }
    spoil(scratch, "UPDATE batch SET document = '{\"id\": [1e99]}' WHERE id = 'harbour-mild'");

    Keeper keeper = keeper_of(scratch);

    EXPECT_THAT(all_words(keeper),
                AllOf(HasSubstr("the record of batch 'harbour-mild'"), HasSubstr("set_aside")));
    const auto states = keeper.queries().vessel_states();
    ASSERT_THAT(states, SizeIs(2));
    EXPECT_EQ(states[0].batch, std::nullopt);
    EXPECT_EQ(states[1].batch->id, "quay-stout");
    EXPECT_THAT(keeper.queries().batches(10), SizeIs(1)) << "the page, too, shows the others";
    EXPECT_EQ(keeper.write(an_hour(100h)), 240u);
    Database file{scratch.file(), Database::Access::read_only, 1s};
    EXPECT_EQ(file.number("SELECT count(*) FROM set_aside WHERE document = '{\"id\": [1e99]}'"), 1);
}

TEST(Keeper, SetsAnyBrokenMemoryAside) {
    for (const char* sql :
         {"UPDATE vessel_state SET document = 'nonsense'", "UPDATE vessel_state SET document = x'00ff'",
          "UPDATE vessel_state SET document = '{\"version\": 77}'",
          "UPDATE vessel_state SET document = json_set(document, '$.at_ms', -86400000)",
          "UPDATE vessel_state SET document = json_set(document, '$.at_ms', 10413792000000)",
          "UPDATE vessel_state SET document = json_set(document, '$.alarms.listening_since_ms', "
          "3977000000000000)",
          "INSERT INTO memory VALUES ('raw_since_ms', 'yesterday')",
          "INSERT INTO memory VALUES ('thinned_until_ms', '99999999999999999999')",
          "INSERT INTO sensor_state VALUES ('north-probe', '[]')",
          "INSERT INTO learned VALUES ('ale', '{}')"}) {
        Scratch scratch;
        make_store(scratch.file());
        spoil(scratch, sql);

        Keeper keeper = keeper_of(scratch);

        EXPECT_THAT(keeper.renewals(), SizeIs(1)) << sql;
        ASSERT_THAT(keeper.queries().vessel_states(), SizeIs(1)) << sql;
        EXPECT_EQ(keeper.queries().vessel_states()[0].batch->id, "harbour-mild") << sql;
        EXPECT_NO_THROW(keeper.prune(pitched(-1h))) << sql;
        EXPECT_THAT(keeper_of(scratch).renewals(), IsEmpty()) << "said once: " << sql;
    }
}

// ---- while it is in use

using Trouble = std::function<void(const Scratch&)>;

/// A keeper that has written an hour, then the trouble, then half a minute.
std::unique_ptr<Keeper> in_trouble(const Scratch& scratch, const Trouble& trouble) {
    make_store(scratch.file());
    auto keeper = std::make_unique<Keeper>(Opening{.path = scratch.file(), .busy_timeout = 200ms}, now);
    keeper->write(an_hour(50h));
    trouble(scratch);
    keeper->round(now + 30s);
    return keeper;
}

TEST(KeeperInUse, WritesAllItKnowsAnewWhenTheFileIsDeleted) {
    Scratch scratch;
    const auto keeper = in_trouble(scratch, [](const Scratch& s) { fs::remove(s.file()); });

    EXPECT_THAT(all_words(*keeper), HasSubstr("was deleted while gyled held it"));
    EXPECT_EQ(keeper->generation(), 2u);
    EXPECT_EQ(keeper->write(an_hour(60h)), 240u);
    EXPECT_THAT(all_readings(ReadStore{scratch.file()}), SizeIs(26 * 240)) << "nothing of it is lost";
    EXPECT_EQ(ReadStore{scratch.file()}.integrity_problem(), std::nullopt);
}

TEST(KeeperInUse, PutsAFileThatReplacedItsOwnAside) {
    Scratch scratch;
    const auto keeper = in_trouble(scratch, [](const Scratch& s) {
        std::ofstream{s.file("other")} << "somebody's notes";
        fs::rename(s.file("other"), s.file());
    });

    EXPECT_EQ(bytes_of(scratch.file("gyled.db.replaced-2026-11-26T02-31-30Z")), "somebody's notes");
    EXPECT_THAT(all_words(*keeper), HasSubstr("another file was put in its place"));
    EXPECT_THAT(all_readings(ReadStore{scratch.file()}), SizeIs(25 * 240));
}

TEST(KeeperInUse, PutsAFileThatWasCutAside) {
    Scratch scratch;
    const auto keeper = in_trouble(scratch, [](const Scratch& s) { fs::resize_file(s.file(), 8192); });

    EXPECT_THAT(all_words(*keeper), HasSubstr("was cut short"));
    EXPECT_EQ(keeper->write(an_hour(60h)), 240u);
    EXPECT_EQ(ReadStore{scratch.file()}.integrity_problem(), std::nullopt);
}

TEST(KeeperInUse, PutsAFileThatWasOverwrittenAside) {
    for (const std::size_t place : {std::size_t{0}, std::size_t{40'960}}) {
        Scratch scratch;
        const auto keeper = in_trouble(
            scratch, [&](const Scratch& s) { overwrite(s.file(), place, std::string(9000, '\x33')); });

        EXPECT_THAT(all_words(*keeper), HasSubstr("was overwritten")) << place;
        EXPECT_THAT(names_in(scratch), testing::Contains("gyled.db.damaged-2026-11-26T02-31-30Z"));
        EXPECT_EQ(keeper->write(an_hour(60h)), 240u);
        EXPECT_EQ(ReadStore{scratch.file()}.integrity_problem(), std::nullopt) << place;
    }
}

TEST(KeeperInUse, TakesNoOffenceAtAnotherProgramsCheckpoint) {
    Scratch scratch;
    const auto keeper = in_trouble(scratch, [](const Scratch& s) {
        Database{s.file(), Database::Access::read_write, 1s}.checkpoint();
    });

    EXPECT_THAT(keeper->renewals(), IsEmpty());
    EXPECT_EQ(keeper->generation(), 1u);
    EXPECT_THAT(all_readings(keeper->queries()), SizeIs(25 * 240));
}

TEST(KeeperInUse, SaysNothingOfItsOwnWriting) {
    Scratch scratch;
    Keeper keeper = keeper_of(scratch);
    for (int hour = 0; hour < 200; ++hour) {
        keeper.write(an_hour(hour * 1h));
        if (hour % 20 == 0) keeper.checkpoint();
        keeper.round(now + hour * 30s);
    }

    EXPECT_EQ(keeper.generation(), 1u) << all_words(keeper);
    EXPECT_LT(fs::file_size(scratch.file("gyled.db-wal")), 6u << 20)
        << "the log is moved into the file meanwhile";
}

TEST(KeeperInUse, GivesNoNoticeTheNumberOfAnEarlierOne) {
    Scratch scratch;
    make_store(scratch.file());
    Keeper keeper = keeper_of(scratch);
    const auto offered = keeper.due(now, 10);
    ASSERT_THAT(offered, SizeIs(1));
    overwrite(scratch.file(), 0,
              std::string(static_cast<std::size_t>(fs::file_size(scratch.file())), '\x33'));
    keeper.round(now + 30s);
    ASSERT_THAT(keeper.due(now, 10), IsEmpty()) << "nothing could be read";

    Commit group;
    group.effects.notices = {notice("second", {"phone"})};
    keeper.write(group);
    keeper.delivered(offered[0].id, now);  // the courier had it still

    EXPECT_THAT(keeper.due(now, 10), SizeIs(1)) << "the second one is not taken for delivered";
}

// ---- a disk that cannot be written

/// No file may grow beyond `bytes` any more.
void limit_files(rlim_t bytes) {
    ::signal(SIGXFSZ, SIG_IGN);
    rlimit limit{};
    ::getrlimit(RLIMIT_FSIZE, &limit);
    limit.rlim_cur = bytes;
    ::setrlimit(RLIMIT_FSIZE, &limit);
}

TEST(KeeperOnAFullDisk, RemembersAndGoesOverToTheFileWhenThereIsRoom) {
    Scratch scratch;
    make_store(scratch.file());
    for (const rlim_t room : {rlim_t{0}, rlim_t{4096}}) {
        const int code = in_a_process([&] {
            limit_files(room);
            Keeper keeper = keeper_of(scratch);
            if (keeper.queries().vessel_states().at(0).batch->id != "harbour-mild") return 1;
            try {
                keeper.write(an_hour(60h));
                return 2;
            } catch (const StorageError&) {
            }
            limit_files(RLIM_INFINITY);
            keeper.round(now + 6s);
            return keeper.write(an_hour(60h)) <= 240 && keeper.problem().empty() && keeper.renewals().empty()
                       ? 0
                       : 3;
        });
        EXPECT_EQ(code, 0) << room;
    }
    EXPECT_THAT(all_readings(Store{scratch.file()}), SizeIs(25 * 240));
}

TEST(KeeperOnAFullDisk, StartsWithNothingAtAllToo) {
    Scratch scratch;
    const int code = in_a_process([&] {
        limit_files(0);
        Keeper keeper = keeper_of(scratch);
        if (keeper.problem().empty()) return 1;
        limit_files(RLIM_INFINITY);
        keeper.round(now + 6s);
        return keeper.write(an_hour()) == 240 ? 0 : 2;
    });
    EXPECT_EQ(code, 0);
}

TEST(KeeperOnAFullDisk, WithADamagedFileTakesItOverOnceThereIsRoom) {
    Scratch scratch;
    make_store(scratch.file());
    overwrite(scratch.file(), 0, std::string(100, '\x33'));
    const int code = in_a_process([&] {
        limit_files(0);
        Keeper keeper = keeper_of(scratch);
        if (keeper.problem().empty()) return 1;
        limit_files(RLIM_INFINITY);
        keeper.round(now + 6s);
        return keeper.write(an_hour()) == 240 && keeper.renewals().size() == 1 ? 0 : 2;
    });
    EXPECT_EQ(code, 0);
}

TEST(Keeper, WithoutItsFolderWaitsForIt) {
    Scratch scratch;
    const std::string path = scratch.file("later/gyled.db");
    Keeper keeper{Opening{.path = path}, now};
    EXPECT_THAT(keeper.problem(), HasSubstr("does its folder exist"));

    fs::create_directory(scratch.file("later"));
    keeper.round(now + 6s);

    EXPECT_EQ(keeper.problem(), "");
    EXPECT_EQ(keeper.write(an_hour()), 240u);
}

}  // namespace
}  // namespace gyled::storage
