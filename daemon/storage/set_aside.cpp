// Rows that make no sense, moved out of the way: the rest of the store can be used without them.

#include <fmt/format.h>

#include <array>
#include <string_view>

#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/database.hpp"
#include "daemon/storage/file_watch.hpp"
#include "daemon/storage/state_document.hpp"
#include "daemon/storage/store.hpp"
#include "daemon/storage/value.hpp"

namespace gyled::storage {
namespace {

/// Throws std::exception when `text` is not what the column should hold.
using Read = void (*)(const std::string& text);

struct Kept {
    std::string_view table, key, column;
    std::string_view of_what;  ///< in words, before the key
    std::string_view but;      ///< what follows from doing without
    Read read;
};

void read_batch(const std::string& text) {
    (void)batch_from(text);
}
void read_state(const std::string& text) {
    (void)state_from(text);
}
void read_sensor(const std::string& text) {
    (void)sensor_state_from(text);
}
void read_learned(const std::string& text) {
    (void)learned_from(text);
}
void read_number(const std::string& text) {
    if (!number_in(text)) throw std::runtime_error{"'" + text + "' is not a whole number"};
}

constexpr std::array kept{
    Kept{"batch", "id", "document", "the record of batch", "its readings and estimates stay", read_batch},
    Kept{"vessel_state", "vessel", "document", "the state of vessel",
         "it was made anew from its batch and its standing alarms", read_state},
    Kept{"sensor_state", "sensor", "document", "the memory of sensor", "it begins anew", read_sensor},
    Kept{"learned", "culture", "document", "what was learnt of culture", "it is learnt anew", read_learned},
    Kept{"(SELECT * FROM memory WHERE key IN ('raw_since_ms', 'thinned_until_ms'))", "key", "value",
         "the note", "it is made anew", read_number},
};

struct Broken {
    std::string key, problem;
};

std::vector<Broken> broken_rows(Database& database, const Kept& of) {
    std::vector<Broken> found;
    Statement rows{database, fmt::format("SELECT {}, {} FROM {}", of.key, of.column, of.table)};
    while (rows.next()) try {
            of.read(rows.text(1));
        } catch (const std::exception& problem) {
            found.push_back({rows.text(0), problem.what()});
        }
    return found;
}

std::string_view table_of(const Kept& of) {
    return of.table.starts_with('(') ? "memory" : of.table;
}

void move_away(Database& database, const Kept& of, const Broken& row, Timestamp now) {
    const std::string_view table = table_of(of);
    Transaction transaction{database};
    Statement{database, fmt::format("INSERT INTO set_aside (at_ms, origin, key, document, problem) "
                                    "SELECT ?1, ?2, {0}, {1}, ?3 FROM {2} WHERE {0} = ?4",
                                    of.key, of.column, table)}
        .with(now, table, row.problem, row.key)
        .run();
    if (table == "batch")  // whoever leans on it stands without
        Statement{database, "UPDATE vessel_state SET batch = NULL WHERE batch = ?1"}.with(row.key).run();
    Statement{database, fmt::format("DELETE FROM {} WHERE {} = ?1", table, of.key)}.with(row.key).run();
    transaction.commit();
}

}  // namespace

std::vector<std::string> Store::set_aside_unreadable(Timestamp now) {
    std::vector<std::string> said;
    for (const Kept& of : kept)
        for (const Broken& row : broken_rows(database(), of)) {
            move_away(database(), of, row, now);
            said.push_back(
                fmt::format("{} '{}' could not be understood ({}) and was set aside in the table "
                            "set_aside; {}",
                            of.of_what, row.key, row.problem, of.but));
        }
    return said;
}

}  // namespace gyled::storage
