#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <iterator>

#include "daemon/storage/database.hpp"
#include "daemon/storage/schema.hpp"
#include "tests/storage/cellar_notes.hpp"
#include "tests/storage/in_a_process.hpp"

namespace gyled::storage {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::SizeIs;
using Kind = StorageError::Kind;
namespace fs = std::filesystem;

/// What opening says, and of which kind it is.
StorageError refusal(const std::string& path) {
    try {
        Store store{path};
    } catch (const StorageError& error) {
        return error;
    }
    return {Kind::other, path, "it was opened"};
}

std::string bytes_of(const std::string& path) {
    std::ifstream in{path, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

Commit an_hour(Duration later = 0ms, int count = 240) {
    Commit group;
    for (int i = 0; i < count; ++i)
        group.effects.readings.push_back(temperature_reading(later + i * 15s, 19 + i / 333.0));
    return group;
}

TEST(Opening, MakesAFileThatIsRecognisablyOurs) {
    Scratch scratch;
    { Store store{scratch.file()}; }

    Database file{scratch.file(), Database::Access::read_only, 1s};
    EXPECT_EQ(file.number("PRAGMA application_id"), application_id);
    EXPECT_EQ(file.number("PRAGMA user_version"), migrations().back().to_version);
    EXPECT_EQ(file.number("SELECT count(*) FROM sqlite_schema WHERE type = 'view' AND name GLOB 'dash_*'"),
              10);
}

TEST(Opening, SaysWhereAndWhatToDoWhenItCannot) {
    Scratch scratch;
    const std::string nowhere = scratch.file("no/such/folder/gyled.db");

    const StorageError error = refusal(nowhere);

    EXPECT_EQ(error.kind(), Kind::cannot_open);
    EXPECT_EQ(error.path(), nowhere);
    EXPECT_THAT(error.what(),
                AllOf(HasSubstr(nowhere), HasSubstr("unable to open"), HasSubstr("does its folder exist")));
}

TEST(Opening, RefusesANewerStoreAndLeavesItAlone) {
    Scratch scratch;
    { Store store{scratch.file()}; }
    { Database{scratch.file(), Database::Access::read_write, 1s}.execute("PRAGMA user_version = 99"); }
    const std::string before = bytes_of(scratch.file());

    const StorageError error = refusal(scratch.file());

    EXPECT_EQ(error.kind(), Kind::newer_schema);
    EXPECT_THAT(error.what(), AllOf(HasSubstr("version 99"), HasSubstr("install the newer gyled")));
    EXPECT_EQ(bytes_of(scratch.file()), before);
    EXPECT_THROW(ReadStore{scratch.file()}, StorageError);
}

TEST(Opening, RefusesWhatIsNoDatabase) {
    Scratch scratch;
    for (const std::string& content :
         {std::string{"Harbour Mild, brewed on Sunday\n"}, std::string(100'000, '\x5a'),
          std::string{"SQLite format 3\0 and then nothing of the kind .....", 50}}) {
        std::ofstream{scratch.file(), std::ios::binary} << content;

        const StorageError error = refusal(scratch.file());

        EXPECT_EQ(error.kind(), Kind::damaged) << error.what();
        EXPECT_THAT(error.what(), HasSubstr("last backup"));
        EXPECT_EQ(bytes_of(scratch.file()), content) << "it may be all that the person has";
        fs::remove(scratch.file());
    }
}

TEST(Opening, RefusesSomebodyElsesDatabase) {
    Scratch scratch;
    { Database{scratch.file(), Database::Access::read_write, 1s}.execute("CREATE TABLE recipe (name TEXT)"); }
    const std::string before = bytes_of(scratch.file());

    EXPECT_THAT(refusal(scratch.file()).what(), HasSubstr("not one of gyled's"));
    EXPECT_EQ(bytes_of(scratch.file()), before);
}

TEST(Opening, OfAStoreWithTornPagesIsNoticedByTheCheck) {
    Scratch scratch;
    {
        Store store{scratch.file()};
        for (int i = 0; i < 24; ++i) store.write(an_hour(i * 1h));
        EXPECT_EQ(store.integrity_problem(), std::nullopt);
    }
    {
        std::fstream file{scratch.file(), std::ios::in | std::ios::out | std::ios::binary};
        file.seekp(static_cast<long>(fs::file_size(scratch.file()) / 4096 / 2 * 4096));
        file << std::string(8192, '\x7f');
    }

    const ReadStore store{scratch.file()};
    EXPECT_NE(store.integrity_problem(), std::nullopt);
}

TEST(Opening, OfATruncatedStoreIsRefusedOrNoticed) {
    Scratch scratch;
    {
        Store store{scratch.file()};
        for (int i = 0; i < 24; ++i) store.write(an_hour(i * 1h));
    }
    const auto size = fs::file_size(scratch.file());
    for (const std::uintmax_t left :
         {size / 2, std::uintmax_t{4096 + 7}, std::uintmax_t{100}, std::uintmax_t{16}}) {
        fs::resize_file(scratch.file(), left);
        try {
            const Store store{scratch.file()};
            EXPECT_NE(store.integrity_problem(), std::nullopt) << left;
        } catch (const StorageError& error) {
            EXPECT_EQ(error.kind(), Kind::damaged) << error.what();
        }
    }
}

// ---- bringing an older file up to date: with steps of our own, for the first version has nothing before it

constexpr Migration first{1,
                          "CREATE TABLE keg (name TEXT NOT NULL); INSERT INTO keg VALUES ('one');"
                          "CREATE VIEW dash_keg AS SELECT name FROM keg"};
constexpr Migration second{2, "ALTER TABLE keg ADD COLUMN litres REAL; UPDATE keg SET litres = 19"};
constexpr Migration failing{3, "ALTER TABLE keg ADD COLUMN mark TEXT; INSERT INTO no_such_table VALUES (1)"};

// The views of this program lean on its tables: these steps begin where the first version ends.
std::vector<Migration> steps(std::initializer_list<Migration> more) {
    std::vector<Migration> all{migrations().begin(), migrations().end()};
    for (Migration step : more) {
        step.to_version = all.back().to_version + 1;
        all.push_back(step);
    }
    return all;
}

TEST(Migration, KeepsWhatIsThereAndACopyOfHowItWas) {
    Scratch scratch;
    Store{scratch.file()}.write(an_hour());
    const int last = migrations().back().to_version;
    {
        Database file{scratch.file(), Database::Access::read_write, 1s};
        bring_up_to_date(file, steps({first, second}));
        EXPECT_EQ(file.number("PRAGMA user_version"), last + 2);
        EXPECT_EQ(file.number("SELECT litres FROM keg"), 19);
        EXPECT_EQ(file.number("SELECT count(*) FROM dash_reading"), 240);
    }

    const std::string copy = scratch.file("gyled.db.before-v" + std::to_string(last + 2));
    ASSERT_TRUE(fs::exists(copy));
    EXPECT_THAT(all_readings(ReadStore{copy}), SizeIs(240))
        << "the copy is a whole store of the version before";
}

TEST(Migration, ThatFailsLeavesTheStepBeforeIt) {
    Scratch scratch;
    Store{scratch.file()}.write(an_hour());
    const int last = migrations().back().to_version;
    {
        Database file{scratch.file(), Database::Access::read_write, 1s};
        EXPECT_THROW(bring_up_to_date(file, steps({first, failing})), StorageError);
        EXPECT_EQ(file.number("PRAGMA user_version"), last + 1);
        EXPECT_EQ(file.number("SELECT count(*) FROM pragma_table_info('keg')"), 1)
            << "nothing of the failed step";
        EXPECT_EQ(file.number("SELECT count(*) FROM reading"), 240);
        // mended, the next start goes on from there
        bring_up_to_date(file, steps({first, second}));
        EXPECT_EQ(file.number("SELECT litres FROM keg"), 19);
    }
}

TEST(Migration, OfAStoreThatIsUpToDateChangesNothing) {
    Scratch scratch;
    { Store store{scratch.file()}; }
    Database file{scratch.file(), Database::Access::read_write, 1s};

    bring_up_to_date(file, migrations());

    EXPECT_TRUE(fs::directory_iterator{scratch.folder()} != fs::directory_iterator{});
    for (const auto& entry : fs::directory_iterator{scratch.folder()})
        EXPECT_THAT(entry.path().filename().string(), testing::Not(HasSubstr("before")))
            << "no copy without need";
}

TEST(Migration, IsAskedForByAReaderThatFindsAnOlderStore) {
    Scratch scratch;
    { Store store{scratch.file()}; }
    Database file{scratch.file(), Database::Access::read_write, 1s};

    try {
        require_version(file, steps({first}));
        FAIL() << "an older store was read";
    } catch (const StorageError& error) {
        EXPECT_THAT(error.what(), HasSubstr("start gyled once"));
    }
}

// ---- a disk that is full

TEST(FullDisk, IsReportedAndWhatWasThereStaysReadable) {
    Scratch scratch;
    std::size_t written = 0;
    {
        Store store{Opening{.path = scratch.file(), .busy_timeout = 1s, .pages_max = 60}};
        std::optional<StorageError> full;
        for (int hour = 0; hour < 1000 && !full; ++hour) try {
                written += store.write(an_hour(hour * 1h));
            } catch (const StorageError& error) {
                full = error;
            }
        ASSERT_TRUE(full);
        EXPECT_EQ(full->kind(), Kind::full);
        EXPECT_THAT(full->what(), HasSubstr("free some space"));
        EXPECT_THAT(all_readings(store), SizeIs(written)) << "of the group that failed nothing stays";
        EXPECT_THROW(store.write(an_hour(2000h)), StorageError) << "still full";
    }
    Store roomy{scratch.file()};
    EXPECT_EQ(roomy.integrity_problem(), std::nullopt);
    EXPECT_THAT(all_readings(roomy), SizeIs(written));
    EXPECT_EQ(roomy.write(an_hour(2000h)), 240U) << "with room again, it goes on";
}

TEST(FullDisk, OfTheSystemsOwnMakingIsNoDifferent) {
    Scratch scratch;
    std::size_t written = Store{scratch.file()}.write(an_hour());

    const int code = in_a_process([&] {
        ::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{300'000, 300'000};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        Store store{scratch.file()};
        for (int hour = 1; hour < 1000; ++hour) try {
                store.write(an_hour(hour * 1h));
            } catch (const StorageError& error) {
                return error.kind() == Kind::full ? 0 : 1;
            }
        return 2;
    });

    EXPECT_EQ(code, 0);
    Store store{scratch.file()};
    EXPECT_EQ(store.integrity_problem(), std::nullopt);
    const auto found = all_readings(store).size();
    EXPECT_GE(found, written);
    EXPECT_EQ(found % 240, 0U) << "whole groups only";
}

TEST(SuddenDeath, LosesNothingThatWasWrittenAndKeepsNoHalfGroup) {
    Scratch scratch;
    for (int life = 0; life < 5; ++life) {
        const int code = in_a_process([&] {
            Store store{scratch.file()};
            for (int i = 0; i < 4; ++i) store.write(an_hour((life * 4 + i) * 1h));
            Database& stranger = *new Database{scratch.file(), Database::Access::read_write, 1s};
            stranger.execute("BEGIN IMMEDIATE; INSERT INTO reading VALUES (1, 1, 1)");  // a group under way
            ::kill(::getpid(), SIGKILL);
            return 0;
        });
        ASSERT_EQ(code, 100 + SIGKILL);
        ASSERT_THAT(all_readings(Store{scratch.file()}),
                    SizeIs(static_cast<std::size_t>(life + 1) * 4 * 240));
    }
    EXPECT_EQ(Store{scratch.file()}.integrity_problem(), std::nullopt);
}

// ---- readers

TEST(Reader, SeesWhatIsCommittedWhileTheWriterGoesOn) {
    Scratch scratch;
    Store store{scratch.file()};
    const ReadStore reader{scratch.file()};

    store.write(an_hour());
    EXPECT_THAT(all_readings(reader), SizeIs(240));
    store.write(an_hour(1h));
    EXPECT_THAT(all_readings(reader), SizeIs(480));
}

TEST(Reader, HoldsNobodyUpAndSeesOneMomentThroughout) {
    Scratch scratch;
    Store store{Opening{.path = scratch.file(), .busy_timeout = 50ms, .pages_max = 0}};
    store.write(an_hour());
    const ReadStore reader{scratch.file()};
    std::size_t seen = 0;

    reader.for_each_reading("", Timestamp{}, Timestamp::max(), [&](const auto&) {
        if (++seen % 100 == 0) store.write(an_hour(seen * 1h));
        if (seen == 50) store.checkpoint();  // with a reader in the way: no matter
    });

    EXPECT_EQ(seen, 240U) << "what was written meanwhile belongs to the next question";
    EXPECT_THAT(all_readings(reader), SizeIs(240 * 3));
}

TEST(Reader, ThatStumblesHalfWayDoesNotStandInTheWay) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(an_hour());
    const ReadStore reader{scratch.file()};

    EXPECT_THROW(reader.for_each_reading("", Timestamp{}, Timestamp::max(),
                                         [](const auto&) { throw std::runtime_error{"stumbled"}; }),
                 std::runtime_error);
    store.write(an_hour(1h));
    store.checkpoint();

    EXPECT_EQ(fs::file_size(scratch.file("gyled.db-wal")), 0U);
    EXPECT_THAT(all_readings(reader), SizeIs(480));
}

TEST(Reader, MayNotWrite) {
    Scratch scratch;
    { Store store{scratch.file()}; }
    Database file{scratch.file(), Database::Access::read_only, 1s};

    EXPECT_THROW(file.execute("DELETE FROM reading"), StorageError);
}

TEST(Reader, WithoutAStoreIsTold) {
    Scratch scratch;
    try {
        ReadStore store{scratch.file("missing.db")};
        FAIL() << "opened what is not there";
    } catch (const StorageError& error) {
        EXPECT_EQ(error.kind(), Kind::cannot_open);
    }
    EXPECT_FALSE(fs::exists(scratch.file("missing.db"))) << "a reader makes no files";
}

/// As Grafana reads: another user, who may read the folder and its files and write nothing.
int read_as_a_stranger(const std::string& path) {
    return in_a_process([&] {
        if (::geteuid() == 0 && (::setegid(65534) != 0 || ::seteuid(65534) != 0)) return 50;
        const ReadStore store{path};
        return static_cast<int>(all_readings(store).size());
    });
}

TEST(Reader, WithoutTheRightToWriteReadsBesideTheDaemonAndAfterItEnded) {
    Scratch scratch;
    auto store = std::make_unique<Store>(scratch.file());
    store->write(an_hour(0h, 7));
    for (const auto& entry : fs::directory_iterator{scratch.folder()})
        fs::permissions(entry.path(), fs::perms{0644});
    fs::permissions(scratch.folder(), fs::perms{0755});

    EXPECT_EQ(read_as_a_stranger(scratch.file()), 7) << "beside the daemon";

    store.reset();
    fs::permissions(scratch.folder(), fs::perms{0555});
    EXPECT_EQ(read_as_a_stranger(scratch.file()), 7) << "after a clean close";
}

// ---- copies

TEST(Backup, OfALiveStoreIsAWholeStore) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(an_hour());

    store.backup_to(scratch.file("copy.db"));
    store.write(an_hour(1h));

    EXPECT_THAT(all_readings(ReadStore{scratch.file("copy.db")}), SizeIs(240));
    EXPECT_FALSE(fs::exists(scratch.file("copy.db.partial")));
    store.backup_to(scratch.file("copy.db"));
    EXPECT_THAT(all_readings(Store{scratch.file("copy.db")}), SizeIs(480))
        << "replaced, and good to go on with";
}

TEST(Backup, NeverOverwritesTheStoreAndNamesThePlaceThatFailed) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(an_hour());

    EXPECT_THROW(store.backup_to(scratch.file()), StorageError);
    try {
        store.backup_to(scratch.file("no/such/folder/copy.db"));
        FAIL() << "copied to nowhere";
    } catch (const StorageError& error) {
        EXPECT_THAT(error.what(), HasSubstr("no/such/folder/copy.db"));
    }
    EXPECT_THAT(all_readings(store), SizeIs(240));
}

TEST(Closing, LeavesALogOfNoLengthAndMayBeDoneTwice) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(an_hour());

    store.close();
    EXPECT_EQ(fs::file_size(scratch.file("gyled.db-wal")), 0U);
    store.close();
}

}  // namespace
}  // namespace gyled::storage
