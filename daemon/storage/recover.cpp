#include "daemon/storage/recover.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <memory>
#include <optional>
#include <string_view>

namespace gyled::storage {
namespace {

using Clock = std::chrono::steady_clock;

/// What a table's rows lean on: the numbers that stand for vessels, and for sensors.
enum class Needs { nothing, vessels, series };
enum class From { oldest, newest };

struct Table {
    std::string_view name, key;
    Needs needs;
    From from;
};

/// In order of worth to the watch.
constexpr std::array tables{
    Table{"vessel", "id", Needs::nothing, From::oldest},
    Table{"series", "id", Needs::vessels, From::oldest},
    Table{"batch", "id", Needs::vessels, From::oldest},
    Table{"vessel_state", "vessel", Needs::nothing, From::oldest},
    Table{"sensor_state", "sensor", Needs::nothing, From::oldest},
    Table{"learned", "culture", Needs::nothing, From::oldest},
    Table{"memory", "key", Needs::nothing, From::oldest},
    Table{"outbox", "id", Needs::nothing, From::newest},
    Table{"alarm", "id", Needs::nothing, From::oldest},
    Table{"alarm_step", "step", Needs::nothing, From::newest},
    Table{"fact", "vessel, batch, kind, at_ms", Needs::vessels, From::oldest},
    Table{"set_aside", "id", Needs::nothing, From::oldest},
    Table{"reading", "at_ms, series", Needs::series, From::newest},
    Table{"rollup", "quarter, series", Needs::series, From::newest},
    Table{"estimate", "at_ms, vessel, quantity", Needs::vessels, From::newest},
    Table{"doubted_reading", "at_ms, series", Needs::series, From::newest},
};

constexpr std::size_t rows_a_commit = 5'000;  // a group of some hundred KiB
constexpr std::size_t rows_a_look = 256;      // at the clock

std::vector<std::string> columns_of(Database& database, std::string_view table) {
    std::vector<std::string> names;
    Statement rows{database, fmt::format("SELECT name FROM pragma_table_info('{}')", table)};
    while (rows.next()) names.push_back(rows.text(0));
    return names;
}

/// Those that both have: an older file lacks some.
std::vector<std::string> common(const std::vector<std::string>& ours,
                                const std::vector<std::string>& theirs) {
    std::vector<std::string> both;
    for (const std::string& name : ours)
        if (std::ranges::find(theirs, name) != theirs.end()) both.push_back(name);
    return both;
}

/// "at_ms DESC, series DESC"
std::string order(std::string_view key, From from) {
    std::string text{key};
    if (from == From::oldest) return text;
    for (std::size_t comma = text.find(','); comma != std::string::npos; comma = text.find(',', comma + 6))
        text.insert(comma, " DESC");
    return text + " DESC";
}

class Recoverer {
public:
    Recoverer(Database& from, Database& into, Clock::time_point until)
        : from_{from}, into_{into}, until_{until} {}

    Recovery all() {
        bool vessels_whole = false, series_whole = false;
        for (const Table& table : tables) {
            if (recovery_.out_of_time) break;
            const bool may = table.needs == Needs::nothing ||
                             (table.needs == Needs::vessels ? vessels_whole : series_whole);
            const bool whole = may && take(table);
            if (table.name == "vessel") vessels_whole = whole;
            if (table.name == "series") series_whole = whole && vessels_whole;
            if (!whole) recovery_.incomplete.emplace_back(table.name);
        }
        return std::move(recovery_);
    }

private:
    /// True when it was read to its end.
    bool take(const Table& table) {
        const auto columns = readable_columns(table);
        if (!columns) return false;
        if (columns->empty()) return true;  // older than this table
        if (copy(table, *columns, table.from)) return true;
        if (!recovery_.out_of_time)
            copy(table, *columns, table.from == From::oldest ? From::newest : From::oldest);
        return false;
    }

    std::optional<std::vector<std::string>> readable_columns(const Table& table) try {
        return common(columns_of(into_, table.name), columns_of(from_, table.name));
    } catch (const StorageError& error) {
        throw_unless_of_source(error);
        return std::nullopt;
    }

    bool copy(const Table& table, const std::vector<std::string>& columns, From from) {
        const std::string list = fmt::format("{}", fmt::join(columns, ", "));
        std::string places = "?1";
        for (std::size_t i = 2; i <= columns.size(); ++i) places += fmt::format(", ?{}", i);
        Statement insert{into_,
                         fmt::format("INSERT OR IGNORE INTO {} ({}) VALUES ({})", table.name, list, places)};
        auto group = std::make_unique<Transaction>(into_);
        const bool whole =
            copy_rows(fmt::format("SELECT {} FROM {} ORDER BY {}", list, table.name, order(table.key, from)),
                      [&](const Statement& row) {
                          const int taken = insert.with_row(row, static_cast<int>(columns.size())).run();
                          recovery_.rows += static_cast<std::size_t>(taken);
                          if (table.name == "reading") recovery_.readings += static_cast<std::size_t>(taken);
                          if (++pending_ % rows_a_commit != 0) return;
                          group->commit();
                          group = std::make_unique<Transaction>(into_);
                      });
        group->commit();
        return whole;
    }

    template <class Take>
    bool copy_rows(const std::string& select, Take take) try {
        Statement rows{from_, select};
        for (std::size_t n = 0; rows.next(); ++n) {
            take(rows);
            recovery_.out_of_time = n % rows_a_look == 0 && Clock::now() >= until_;
            if (recovery_.out_of_time) return false;
        }
        return true;
    } catch (const StorageError& error) {
        throw_unless_of_source(error);
        return false;
    }

    void throw_unless_of_source(const StorageError& error) const {
        if (error.path() != from_.path()) throw error;
    }

    Database& from_;
    Database& into_;
    Clock::time_point until_;
    std::size_t pending_ = 0;
    Recovery recovery_;
};

}  // namespace

std::string in_words(const Recovery& recovery) {
    if (recovery.rows == 0) return "nothing in it could be read";
    std::string text =
        fmt::format("{} rows were taken over, {} of them readings", recovery.rows, recovery.readings);
    if (recovery.out_of_time)
        text += "; the older rest was left there, for it would have taken too long";
    else if (!recovery.incomplete.empty())
        text += fmt::format("; not whole: {}", fmt::join(recovery.incomplete, ", "));
    return text;
}

Recovery recover(const std::string& from, Database& into, std::chrono::milliseconds at_most) {
    std::unique_ptr<Database> source;
    try {
        source = std::make_unique<Database>(from, Database::Access::read_only, std::chrono::seconds{1});
    } catch (const StorageError&) {
        return {};
    }
    into.execute("PRAGMA foreign_keys = OFF");  // a row may lean on one that is lost
    into.sync_commits(false);
    Recovery recovery = Recoverer{*source, into, Clock::now() + at_most}.all();
    into.sync_commits(true);
    into.execute("PRAGMA foreign_keys = ON");
    return recovery;
}

}  // namespace gyled::storage
