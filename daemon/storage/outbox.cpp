#include "daemon/storage/outbox.hpp"

#include <algorithm>

#include "daemon/storage/alarm_rows.hpp"
#include "daemon/storage/database.hpp"

namespace gyled::storage {
namespace {

using annunciation::Notice;

Notice::Kind kind_in(std::string_view text) {
    return annunciation::kind_named(text).value_or(Notice::Kind::information);
}

OutboxEntry entry_from(const Statement& row) {
    return {.id = row.integer(0),
            .messenger = row.text(1),
            .notice = {.id = row.text(2),
                       .thread = row.text(3),
                       .kind = kind_in(row.text(4)),
                       .vessel = row.text(5),
                       .rule = row.text(6),
                       .priority = priority_or_high(row.text(7)),
                       .title = row.text(8),
                       .text = row.text(9),
                       .at = row.time(10),
                       .recipients = {}},
            .attempts = static_cast<unsigned>(row.integer(11)),
            .next_try = row.time(12),
            .problem = row.text(13)};
}

}  // namespace

void OutboxTable::add(const Notice& notice) {
    for (const std::string& messenger : notice.recipients) {
        const int added =
            database_
                .prepared(
                    "INSERT OR IGNORE INTO outbox (id, notice, messenger, thread, kind, vessel, rule, "
                    "priority, title, text, at_ms) VALUES ((SELECT max(coalesce(max(id), 0), ?11) + 1 FROM "
                    "outbox), ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
                    notice.id, messenger, notice.thread, annunciation::name(notice.kind), notice.vessel,
                    notice.rule, alarms::name(notice.priority), notice.title, notice.text, notice.at,
                    highest_id_)
                .run();
        entered_ += static_cast<std::uint64_t>(added);
        if (added > 0) highest_id_ = std::max(highest_id_, database_.last_id());
    }
}

std::vector<OutboxEntry> OutboxTable::due(Timestamp now, std::size_t limit) const {
    std::vector<OutboxEntry> out;
    Statement& rows = database_.prepared(
        "SELECT id, messenger, notice, thread, kind, vessel, rule, priority, title, text, at_ms, attempts, "
        "next_try_ms, problem "
        "FROM outbox WHERE state = 'pending' AND next_try_ms <= ?1 ORDER BY id LIMIT ?2",
        now, limit);
    while (rows.next()) out.push_back(entry_from(rows));
    for (const OutboxEntry& entry : out) highest_id_ = std::max(highest_id_, entry.id);
    return out;
}

void OutboxTable::delivered(std::int64_t id, Timestamp at) {
    database_.prepared("UPDATE outbox SET state = 'delivered', done_ms = ?2 WHERE id = ?1", id, at).run();
}

void OutboxTable::deferred(std::int64_t id, Timestamp next_try, unsigned attempts, const std::string& why) {
    database_
        .prepared(
            "UPDATE outbox SET next_try_ms = ?2, attempts = ?3, problem = ?4 WHERE id = ?1 AND state = "
            "'pending'",
            id, next_try, attempts, why)
        .run();
}

void OutboxTable::expired(std::int64_t id, Timestamp at, const std::string& why) {
    database_
        .prepared("UPDATE outbox SET state = 'expired', done_ms = ?2, problem = ?3 WHERE id = ?1", id, at,
                  why)
        .run();
}

std::size_t OutboxTable::pending() const {
    return static_cast<std::size_t>(database_.number("SELECT count(*) FROM outbox WHERE state = 'pending'"));
}

}  // namespace gyled::storage
