#include "daemon/storage/database.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <array>
#include <cerrno>
#include <filesystem>

namespace gyled::storage {
namespace {

using Kind = StorageError::Kind;

/// A write beyond a file size limit is a full disk to the person, whatever the system calls it.
Kind kind_of(int code, int system_error) {
    switch (code & 0xff) {
        case SQLITE_FULL:
            return Kind::full;
        case SQLITE_CANTOPEN:
        case SQLITE_PERM:
            return Kind::cannot_open;
        case SQLITE_READONLY:
            return Kind::read_only;
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return Kind::busy;
        case SQLITE_CORRUPT:
        case SQLITE_NOTADB:
            return Kind::damaged;
        case SQLITE_IOERR:
            return system_error == ENOSPC || system_error == EFBIG || system_error == EDQUOT ? Kind::full
                                                                                             : Kind::other;
        default:
            return Kind::other;
    }
}

std::string_view remedy(Kind kind) {
    switch (kind) {
        case Kind::full:
            return "; free some space: nothing of this group was written, what was there before is safe";
        case Kind::cannot_open:
            return "; does its folder exist, and may this user write there?";
        case Kind::read_only:
            return "; may this user write the file and its folder, and is the disk mounted writable?";
        case Kind::busy:
            return "; does another gyled use this store?";
        case Kind::damaged:
            return "; the last backup can be put in its place while gyled is stopped";
        case Kind::newer_schema:
        case Kind::foreign:
        case Kind::other:
            break;
    }
    return "";
}

}  // namespace

Statement::Statement(Database& database, std::string_view sql) : database_{&database} {
    const int code = sqlite3_prepare_v3(database.handle(), sql.data(), static_cast<int>(sql.size()),
                                        SQLITE_PREPARE_PERSISTENT, &statement_, nullptr);
    if (code != SQLITE_OK) database.fail(code, fmt::format("cannot prepare '{}'", sql));
}
Statement::Statement(Statement&& other) noexcept : database_{other.database_}, statement_{other.statement_} {
    other.statement_ = nullptr;
}
Statement::~Statement() {
    sqlite3_finalize(statement_);
}

Statement& Statement::with_row(const Statement& row, int columns) {
    reset();
    for (int column = 0; column < columns; ++column)
        sqlite3_bind_value(statement_, column + 1, sqlite3_column_value(row.statement_, column));
    return *this;
}

int Statement::run() {
    errno = 0;  // SQLite does not always tell what the system said
    const int code = sqlite3_step(statement_);
    if (code != SQLITE_DONE && code != SQLITE_ROW) {
        const int system_error = errno;
        sqlite3_reset(statement_);
        database_->fail(code, "cannot write", system_error);
    }
    sqlite3_reset(statement_);
    return sqlite3_changes(database_->handle());
}

bool Statement::next() {
    const int code = sqlite3_step(statement_);
    if (code == SQLITE_ROW) return true;
    sqlite3_reset(statement_);
    if (code != SQLITE_DONE) database_->fail(code, "cannot read");
    return false;
}

bool Statement::is_null(int column) const {
    return sqlite3_column_type(statement_, column) == SQLITE_NULL;
}
std::int64_t Statement::integer(int column) const {
    return sqlite3_column_int64(statement_, column);
}
double Statement::real(int column) const {
    return sqlite3_column_double(statement_, column);
}
std::optional<double> Statement::maybe_real(int column) const {
    return is_null(column) ? std::nullopt : std::optional{real(column)};
}
std::string Statement::text(int column) const {
    const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
    if (bytes == nullptr) return {};
    return {bytes, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}
Timestamp Statement::time(int column) const {
    return Timestamp{base::Duration{integer(column)}};
}
std::optional<Timestamp> Statement::maybe_time(int column) const {
    return is_null(column) ? std::nullopt : std::optional{time(column)};
}

void Statement::reset() {
    sqlite3_reset(statement_);
}
void Statement::bind(int place, std::int64_t value) {
    sqlite3_bind_int64(statement_, place, value);
}
void Statement::bind(int place, double value) {
    sqlite3_bind_double(statement_, place, value);
}
void Statement::bind(int place, std::string_view text) {
    // an empty view may have no address, which SQLite would take for NULL
    sqlite3_bind_text(statement_, place, text.empty() ? "" : text.data(), static_cast<int>(text.size()),
                      SQLITE_STATIC);
}
void Statement::bind_null(int place) {
    sqlite3_bind_null(statement_, place);
}

Database::Database(std::string path, Access access, std::chrono::milliseconds busy_timeout)
    : path_{std::move(path)}, busy_timeout_{busy_timeout} {
    const int flags = access == Access::read_only             ? SQLITE_OPEN_READONLY
                      : access == Access::read_write_existing ? SQLITE_OPEN_READWRITE
                                                              : SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
    const int code = sqlite3_open_v2(path_.c_str(), &handle_,
                                     flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, nullptr);
    if (code != SQLITE_OK) {
        try {
            fail(code, "cannot open the store");
        } catch (...) {
            sqlite3_close_v2(handle_);
            throw;
        }
    }
    sqlite3_busy_timeout(handle_, static_cast<int>(busy_timeout_.count()));
}

Database::~Database() {
    statements_.clear();
    sqlite3_close_v2(handle_);
}

void Database::close() {
    statements_.clear();
    sqlite3_close_v2(handle_);
    handle_ = nullptr;
}

void Database::abandon() {
    sqlite3_db_config(handle_, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
    close();
}

bool Database::has_moved() {
    int moved = 0;
    return sqlite3_file_control(handle_, "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK && moved != 0;
}

bool Database::has_head() {
    // the first 16 bytes of every SQLite file (sqlite.org/fileformat2.html, section 1.3)
    constexpr std::string_view head{"SQLite format 3\0", 16};
    sqlite3_file* file = nullptr;
    if (sqlite3_file_control(handle_, "main", SQLITE_FCNTL_FILE_POINTER, &file) != SQLITE_OK ||
        file == nullptr || file->pMethods == nullptr)
        return false;
    std::array<char, head.size()> bytes{};
    return file->pMethods->xRead(file, bytes.data(), static_cast<int>(bytes.size()), 0) == SQLITE_OK &&
           std::string_view{bytes.data(), bytes.size()} == head;
}

void Database::sync_commits(bool on) {
    execute(on ? "PRAGMA synchronous = FULL" : "PRAGMA synchronous = NORMAL");
}

std::int64_t Database::last_id() const {
    return sqlite3_last_insert_rowid(handle_);
}

void Database::execute(const std::string& sql) {
    errno = 0;
    const int code = sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr);
    if (code != SQLITE_OK) fail(code, "cannot carry out '" + sql.substr(0, sql.find('\n')) + "'");
}

Statement& Database::statement(std::string_view sql) {
    std::string key{sql};
    if (auto found = statements_.find(key); found != statements_.end()) return found->second;
    Statement fresh{*this, sql};
    return statements_.emplace(std::move(key), std::move(fresh)).first->second;
}

std::int64_t Database::number(std::string_view sql) {
    Statement question{*this, sql};
    return question.next() ? question.integer(0) : 0;
}

void Database::keep_wal_files() {
    int on = 1;
    const int code = sqlite3_file_control(handle_, "main", SQLITE_FCNTL_PERSIST_WAL, &on);
    if (code != SQLITE_OK) fail(code, "cannot keep the write-ahead log for readers");
}

void Database::copy_to(const std::string& path) {
    Database copy{path, Access::read_write, std::chrono::seconds{1}};
    sqlite3_backup* backup = sqlite3_backup_init(copy.handle_, "main", handle_, "main");
    if (backup == nullptr) copy.fail("cannot begin the copy");
    sqlite3_backup_step(backup, -1);
    if (const int code = sqlite3_backup_finish(backup); code != SQLITE_OK)
        copy.fail(code, "cannot copy the store here");
    // the copy is one plain file: no log beside it that somebody could forget to carry along
    copy.execute("PRAGMA journal_mode = DELETE");
    Statement check{copy, "PRAGMA quick_check(1)"};
    if (!check.next() || check.text(0) != "ok")
        throw StorageError{Kind::damaged, path, path + ": the copy is not sound: " + check.text(0)};
}

void Database::leave_log_to_us() {
    sqlite3_wal_hook(
        handle_,
        [](void* pages, sqlite3*, const char*, int count) {
            *static_cast<int*>(pages) = count;
            return SQLITE_OK;
        },
        &log_pages_);
}

void Database::checkpoint(Reset reset) {
    // a reader in the way must not hold up the loop: SQLITE_BUSY only says that the next time will do
    sqlite3_busy_timeout(handle_, 20);
    const int mode = reset == Reset::at_once ? SQLITE_CHECKPOINT_TRUNCATE : SQLITE_CHECKPOINT_PASSIVE;
    const int code = sqlite3_wal_checkpoint_v2(handle_, nullptr, mode, nullptr, nullptr);
    sqlite3_busy_timeout(handle_, static_cast<int>(busy_timeout_.count()));
    if (code != SQLITE_OK && (code & 0xff) != SQLITE_BUSY && (code & 0xff) != SQLITE_LOCKED)
        fail(code, "cannot move the log into the store");
}

bool Database::is_sound_as_far_as_seen(std::chrono::milliseconds at_most) {
    using Clock = std::chrono::steady_clock;
    constexpr int instructions_a_look = 10'000;  // some tenths of a millisecond
    Clock::time_point until = Clock::now() + at_most;
    sqlite3_progress_handler(
        handle_, instructions_a_look,
        [](void* end) { return Clock::now() >= *static_cast<Clock::time_point*>(end) ? 1 : 0; }, &until);
    Statement check{*this, "PRAGMA quick_check(1)"};
    const int code = sqlite3_step(check.statement_);
    const bool is_sound = (code & 0xff) == SQLITE_INTERRUPT || (code == SQLITE_ROW && check.text(0) == "ok");
    sqlite3_progress_handler(handle_, 0, nullptr, nullptr);
    return is_sound;
}

void Database::fail(int code, std::string_view while_doing, int system_error) const {
    const Kind kind = kind_of(code, system_error);
    const char* words = handle_ != nullptr ? sqlite3_errmsg(handle_) : sqlite3_errstr(code);
    throw StorageError{kind, path_,
                       fmt::format("{}: {}: {} ({}){}", path_, while_doing, words, code, remedy(kind))};
}
void Database::fail(std::string_view while_doing) const {
    fail(sqlite3_extended_errcode(handle_), while_doing);
}

Transaction::~Transaction() {
    // SQLite has rolled back by itself after some errors
    if (open_ && database_.handle() != nullptr && sqlite3_get_autocommit(database_.handle()) == 0)
        sqlite3_exec(database_.handle(), "ROLLBACK", nullptr, nullptr, nullptr);
}

void Transaction::commit() {
    database_.execute("COMMIT");
    open_ = false;
}

}  // namespace gyled::storage
