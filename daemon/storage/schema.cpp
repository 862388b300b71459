#include "daemon/storage/schema.hpp"

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <vector>

#include "schema_sql.hpp"

namespace gyled::storage {
namespace {

using Kind = StorageError::Kind;
constexpr std::array steps_of_this_program{Migration{1, version_1}, Migration{2, version_2},
                                           Migration{3, version_3}};

int version_of(Database& database) {
    return static_cast<int>(database.number("PRAGMA user_version"));
}

/// Nothing in it yet: just created.
bool is_empty(Database& database) {
    return database.number("SELECT count(*) FROM sqlite_schema") == 0;
}

void require_ours(Database& database) {
    if (database.number("PRAGMA application_id") != application_id)
        throw StorageError{
            Kind::foreign, database.path(),
            fmt::format(
                "{}: this is an SQLite file, but not one of gyled's; give [storage] path another name",
                database.path())};
}

void require_not_newer(Database& database, int ours) {
    if (const int theirs = version_of(database); theirs > ours)
        throw StorageError{
            Kind::newer_schema, database.path(),
            fmt::format(
                "{}: the store has schema version {}, this gyled knows {} at most and will not touch it; "
                "install the newer "
                "gyled again, or go back to the copy that it made before it changed the file ({}.before-v{})",
                database.path(), theirs, ours, database.path(), theirs)};
}

void copy_before(Database& database, int version) {
    const std::string copy = fmt::format("{}.before-v{}", database.path(), version);
    std::error_code ignored;
    std::filesystem::remove(copy, ignored);  // left by an attempt that failed
    database.copy_to(copy);
}

void drop_views(Database& database) {
    std::vector<std::string> names;
    Statement& views_there = database.prepared("SELECT name FROM sqlite_schema WHERE type = 'view'");
    while (views_there.next()) names.push_back(views_there.text(0));
    for (const std::string& name : names) database.execute("DROP VIEW \"" + name + "\"");
}

}  // namespace

std::span<const Migration> migrations() {
    return steps_of_this_program;
}

void refuse_foreign(Database& database, std::span<const Migration> steps) {
    if (is_empty(database)) return;
    require_ours(database);
    require_not_newer(database, steps.back().to_version);
}

void bring_up_to_date(Database& database, std::span<const Migration> steps) {
    const int target = steps.back().to_version;
    const bool fresh = is_empty(database);
    refuse_foreign(database, steps);
    if (version_of(database) == target) return;
    if (!fresh) copy_before(database, target);
    for (const Migration& step : steps) {
        if (step.to_version <= version_of(database)) continue;
        Transaction transaction{database};
        drop_views(database);  // they may lean on what the step changes
        database.execute(std::string{step.sql});
        if (step.to_version == target) database.execute(std::string{views});
        database.execute(fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", application_id,
                                     step.to_version));
        transaction.commit();
    }
}

void require_version(Database& database, std::span<const Migration> steps) {
    const int ours = steps.back().to_version;
    require_ours(database);
    require_not_newer(database, ours);
    if (const int theirs = version_of(database); theirs < ours)
        throw StorageError{
            Kind::other, database.path(),
            fmt::format(
                "{}: the store still has schema version {}, this program reads {}; start gyled once, it "
                "brings the store up to date",
                database.path(), theirs, ours)};
}

}  // namespace gyled::storage
