#pragma once
/// A small shape around SQLite's C interface: a connection, its prepared statements, a transaction. We write
/// it ourselves because it is one page, and because a cached statement with typed binding of times and
/// optionals is all we need. Only storage/ includes this.

#include <cerrno>
#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "daemon/base/time.hpp"
#include "daemon/storage/error.hpp"

struct sqlite3;
struct sqlite3_stmt;

namespace gyled::storage {

using base::Timestamp;

class Database;

/// One prepared statement. Texts that are bound must live until the row is read or `run` has returned.
class Statement {
public:
    Statement(Database& database, std::string_view sql);
    ~Statement();
    Statement(Statement&& other) noexcept;
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;
    Statement& operator=(Statement&&) = delete;

    /// Binds the arguments to ?1, ?2 ... after taking back what was bound before.
    template <class... Arguments>
    Statement& with(const Arguments&... arguments) {
        reset();
        int place = 0;
        (bind(++place, arguments), ...);
        return *this;
    }
    /// Binds the columns of `row`, as they are, to ?1, ?2 ...
    Statement& with_row(const Statement& row, int columns);
    /// Carries it out, expecting no row, and makes it ready for the next time. Returns how many rows it
    /// changed.
    int run();
    /// The next row; false when there is none, and the statement is ready again.
    bool next();

    [[nodiscard]] bool is_null(int column) const;
    [[nodiscard]] std::int64_t integer(int column) const;
    [[nodiscard]] double real(int column) const;
    [[nodiscard]] std::optional<double> maybe_real(int column) const;
    [[nodiscard]] std::string text(int column) const;
    [[nodiscard]] Timestamp time(int column) const;  ///< from milliseconds
    [[nodiscard]] std::optional<Timestamp> maybe_time(int column) const;
    void reset();

private:
    void bind(int place, std::int64_t value);
    void bind(int place, int value) { bind(place, std::int64_t{value}); }
    void bind(int place, unsigned value) { bind(place, std::int64_t{value}); }
    void bind(int place, std::size_t value) { bind(place, static_cast<std::int64_t>(value)); }
    void bind(int place, double value);
    void bind(int place, std::string_view text);
    void bind(int place, const std::string& text) { bind(place, std::string_view{text}); }
    void bind(int place, const char* text) { bind(place, std::string_view{text}); }
    void bind(int place, Timestamp time) { bind(place, std::int64_t{time.time_since_epoch().count()}); }
    void bind_null(int place);
    template <class T>
    void bind(int place, const std::optional<T>& value) {
        if (value)
            bind(place, *value);
        else
            bind_null(place);
    }

    Database* database_;
    sqlite3_stmt* statement_ = nullptr;
    friend class Database;
};

/// Makes a statement ready again however its reader leaves: one that stops half-way would keep seeing the
/// past and stand in the way of every checkpoint.
class Rewind {
public:
    explicit Rewind(Statement& statement) : statement_{statement} {}
    ~Rewind() { statement_.reset(); }
    Rewind(const Rewind&) = delete;
    Rewind& operator=(const Rewind&) = delete;

private:
    Statement& statement_;
};

/// One connection, for one thread. Throws StorageError.
class Database {
public:
    enum class Access { read_only, read_write_existing, read_write };
    Database(std::string path, Access access, std::chrono::milliseconds busy_timeout);
    ~Database();
    Database(const Database&) = delete;
    Database& operator=(const Database&) = delete;

    /// One or many statements without parameters.
    void execute(const std::string& sql);
    /// Prepared once, kept under its text. Do not use one statement in two loops at a time.
    template <class... Arguments>
    Statement& prepared(std::string_view sql, const Arguments&... arguments) {
        return statement(sql).with(arguments...);
    }
    /// The first column of the first row, or 0.
    [[nodiscard]] std::int64_t number(std::string_view sql);
    /// The writer leaves -wal and -shm behind on close, so that readers who may not create them can still
    /// read.
    void keep_wal_files();
    /// Copies all of it into a fresh file at `path`, which must not exist, and checks the copy.
    void copy_to(const std::string& path);
    /// What becomes of the log once it has been moved into the file.
    enum class Reset { at_once, when_all_is_moved };
    /// From now on the log is moved into the file when we say so, not by itself after some commit;
    /// `log_pages` says how long it was after the last commit.
    void leave_log_to_us();
    [[nodiscard]] int log_pages() const { return log_pages_; }
    /// Moves the log into the file if nobody is in the way, and cuts it to nothing; or, with
    /// `when_all_is_moved`, as far as readers let it, waiting for nobody: it is then used again from its
    /// beginning.
    void checkpoint(Reset reset = Reset::at_once);
    /// False when a page was found that is not sound. Looks for so long at most.
    [[nodiscard]] bool is_sound_as_far_as_seen(std::chrono::milliseconds at_most);
    void close();
    /// Closes and writes nothing more: what is in the log stays there.
    void abandon();
    /// Is the file that we hold no longer the one at `path()`: deleted, renamed or replaced?
    [[nodiscard]] bool has_moved();
    /// Does the file that we hold begin as a database does? Read through SQLite's own handle: opening and
    /// closing it ourselves would drop SQLite's locks (POSIX: closing any descriptor of a file does).
    [[nodiscard]] bool has_head();
    /// Whether commits return only when they are on the disk, or when the system has them. Not within a
    /// transaction. A commit that is synced takes all earlier ones to the disk with it.
    void sync_commits(bool on);
    /// The id of the row that was inserted last.
    [[nodiscard]] std::int64_t last_id() const;

    [[nodiscard]] const std::string& path() const { return path_; }
    [[nodiscard]] sqlite3* handle() const { return handle_; }
    [[noreturn]] void fail(int code, std::string_view while_doing, int system_error = errno) const;
    [[noreturn]] void fail(std::string_view while_doing) const;

private:
    Statement& statement(std::string_view sql);

    std::string path_;
    std::chrono::milliseconds busy_timeout_;
    sqlite3* handle_ = nullptr;
    int log_pages_ = 0;
    std::unordered_map<std::string, Statement> statements_;
    friend class Statement;
};

/// All or nothing. Rolled back when it goes out of scope without `commit`.
class Transaction {
public:
    explicit Transaction(Database& database) : database_{database} { database_.execute("BEGIN IMMEDIATE"); }
    ~Transaction();
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    void commit();

private:
    Database& database_;
    bool open_ = true;
};

}  // namespace gyled::storage
