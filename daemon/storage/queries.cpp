#include "daemon/storage/queries.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "daemon/storage/alarm_rows.hpp"
#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/database.hpp"
#include "daemon/storage/schema.hpp"

namespace gyled::storage {
namespace {

batch::Record batch_from(const Database& database, const std::string& id,
                               const std::string& document) try {
    return from_document(document);
} catch (const std::exception& problem) {
    throw StorageError{StorageError::Kind::damaged, database.path(),
                       fmt::format("{}: cannot understand what is remembered of batch '{}': {}",
                                   database.path(), id, problem.what())};
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

std::vector<alarms::Transition> Queries::alarms(std::size_t limit, std::optional<Timestamp> before) const {
    static const std::string sql = fmt::format(
        "SELECT {} FROM alarm WHERE changed_ms < ?1 ORDER BY changed_ms DESC, id LIMIT ?2", alarm_columns);
    return transitions_from(database_->prepared(sql, before.value_or(Timestamp::max()), limit));
}

std::vector<alarms::Transition> Queries::life_of(const std::string& alarm) const {
    return transitions_from(database_->prepared(
        "SELECT alarm.id, vessel, rule, subject, s.state, s.priority, s.at_ms, raised_ms, s.text, s.value, "
        "s.limit_value, s.title, s.rings "
        "FROM alarm_step s JOIN alarm ON alarm.id = s.alarm WHERE alarm.id = ?1 ORDER BY s.step",
        alarm));
}

std::optional<std::string> Queries::recall(const std::string& key) const {
    return first_text(database_->prepared("SELECT value FROM memory WHERE key = ?1", key));
}

std::optional<std::string> Queries::learned(const std::string& culture_name) const {
    return first_text(database_->prepared("SELECT document FROM learned WHERE culture = ?1", culture_name));
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

ReadStore::ReadStore(const std::string& path)
    : Queries{std::make_unique<Database>(path, Database::Access::read_only, std::chrono::seconds{2})} {
    database_->execute("PRAGMA query_only = 1");
    require_version(*database_, migrations());
}

}  // namespace gyled::storage
