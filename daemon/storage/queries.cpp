#include "daemon/storage/queries.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "daemon/storage/alarm_rows.hpp"
#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/database.hpp"
#include "daemon/storage/schema.hpp"
#include "daemon/storage/state_document.hpp"

namespace gyled::storage {
namespace {

/// What is remembered and makes no sense is damage: we must not go on without it, nor guess.
template <class Read>
auto understood(const Database& database, const std::string& of_what, Read read) try {
    return read();
} catch (const std::runtime_error& problem) {
    throw StorageError{StorageError::Kind::damaged, database.path(),
                       fmt::format("{}: cannot understand what is remembered of {}: {}", database.path(),
                                   of_what, problem.what())};
}

batch::Record batch_from(const Database& database, const std::string& id, const std::string& document) {
    return understood(database, fmt::format("batch '{}'", id), [&] { return storage::batch_from(document); });
}

std::vector<batch::Record> batches_from(const Database& database, Statement& rows) {
    const Rewind rewind{rows};
    std::vector<batch::Record> out;
    while (rows.next()) out.push_back(batch_from(database, rows.text(0), rows.text(1)));
    return out;
}

std::vector<alarms::Transition> transitions_from(Statement& rows) {
    std::vector<alarms::Transition> out;
    while (rows.next()) out.push_back(transition_from(rows));
    return out;
}

std::optional<std::string> first_text(Statement& row) {
    const Rewind rewind{row};
    return row.next() ? std::optional{row.text(0)} : std::nullopt;
}

}  // namespace

Queries::Queries(std::unique_ptr<Database> database) : database_{std::move(database)} {}
Queries::~Queries() = default;
Queries::Queries(Queries&&) noexcept = default;
Queries& Queries::operator=(Queries&&) noexcept = default;

std::vector<batch::Record> Queries::running_batches() const {
    return batches_from(
        *database_,
        database_->prepared("SELECT id, document FROM batch WHERE ended_ms IS NULL ORDER BY started_ms"));
}

std::vector<batch::Record> Queries::batches(std::size_t limit) const {
    return batches_from(
        *database_,
        database_->prepared("SELECT id, document FROM batch ORDER BY started_ms DESC, id LIMIT ?1", limit));
}

std::optional<batch::Record> Queries::batch(const std::string& id) const {
    const auto document = first_text(database_->prepared("SELECT document FROM batch WHERE id = ?1", id));
    return document ? std::optional{batch_from(*database_, id, *document)} : std::nullopt;
}

std::vector<alarms::Transition> Queries::standing_alarms() const {
    static const std::string sql =
        fmt::format("SELECT {} FROM alarm WHERE ended_ms IS NULL ORDER BY raised_ms, id", alarm_columns);
    return transitions_from(database_->prepared(sql));
}

std::vector<alarms::Transition> Queries::alarms(std::size_t limit, Timestamp before) const {
    static const std::string sql = fmt::format(
        "SELECT {} FROM alarm WHERE changed_ms < ?1 ORDER BY changed_ms DESC, id LIMIT ?2", alarm_columns);
    return transitions_from(database_->prepared(sql, before, limit));
}

std::vector<alarms::Transition> Queries::alarms(std::size_t limit, const cellar::AlarmPlace& after) const {
    static const std::string sql = fmt::format(
        "SELECT {} FROM alarm WHERE changed_ms <= ?1 AND (changed_ms < ?1 OR id > ?2) "
        "ORDER BY changed_ms DESC, id LIMIT ?3",
        alarm_columns);
    return transitions_from(database_->prepared(sql, after.at, after.alarm, limit));
}

std::vector<sensors::SensorState> Queries::sensor_states() const {
    std::vector<sensors::SensorState> out;
    Statement& rows = database_->prepared("SELECT document FROM sensor_state");
    while (rows.next()) try {
            out.push_back(sensor_state_from(rows.text(0)));
        } catch (const std::runtime_error&) {
            continue;  // such a sensor begins anew
        }
    return out;
}

std::optional<std::string> Queries::recall(const std::string& key) const {
    return first_text(database_->prepared("SELECT value FROM memory WHERE key = ?1", key));
}

std::map<std::string, estimation::LearnedCurve> Queries::learned() const {
    std::map<std::string, estimation::LearnedCurve> out;
    Statement& rows = database_->prepared("SELECT culture, document FROM learned");
    while (rows.next()) try {
            out.emplace(rows.text(0), learned_from(rows.text(1)));
        } catch (const std::runtime_error&) {
            // a prior is a help, not a need: the culture learns anew
        }
    return out;
}

std::optional<std::string> Queries::integrity_problem() const {
    std::string complaints;
    try {
        Statement check{*database_, "PRAGMA integrity_check(5)"};
        while (check.next()) complaints += (complaints.empty() ? "" : "; ") + check.text(0);
    } catch (const StorageError& error) {
        if (error.kind() != StorageError::Kind::damaged) throw;
        complaints = error.what();
    }
    return complaints == "ok" ? std::nullopt : std::optional{complaints};
}

void Queries::backup_to(const std::string& path) const {
    std::error_code error;
    if (std::filesystem::equivalent(path, database_->path(), error))
        throw StorageError{StorageError::Kind::other, path,
                           path + ": this is the store itself; give the copy another name"};
    const std::string partial = path + ".partial";
    std::filesystem::remove(partial, error);
    database_->copy_to(partial);
    std::filesystem::rename(partial, path, error);
    if (error)
        throw StorageError{StorageError::Kind::cannot_open, path,
                           path + ": cannot put the copy here: " + error.message()};
}

const std::string& Queries::path() const {
    return database_->path();
}

namespace {

/// SQLite keeps the index of the log in memory when it has the file to itself, and for that it must be able
/// to lock it.
std::unique_ptr<Database> open_to_read(const std::string& path, ReadStore::Beside beside) {
    const bool alone = beside == ReadStore::Beside::alone;
    auto database = std::make_unique<Database>(
        path, alone ? Database::Access::read_write_existing : Database::Access::read_only,
        std::chrono::seconds{2});
    if (alone) database->execute("PRAGMA locking_mode = EXCLUSIVE");
    return database;
}

}  // namespace

ReadStore::ReadStore(const std::string& path, Beside beside) : Queries{open_to_read(path, beside)} {
    database_->execute("PRAGMA query_only = 1");
    require_version(*database_, migrations());
}

bool ReadStore::has_moved() const {
    return database_->has_moved();
}

}  // namespace gyled::storage
