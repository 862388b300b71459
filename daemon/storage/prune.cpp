// Forgetting what is old.

#include <algorithm>

#include "daemon/storage/database.hpp"
#include "daemon/storage/store.hpp"
#include "daemon/storage/value.hpp"

namespace gyled::storage {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;

std::int64_t remembered(const Queries& queries, const std::string& key) {
    const auto text = queries.recall(key);
    return text ? number_in(*text).value_or(0) : 0;
}

/// Deletes the oldest readings, some `rows` of them, and returns the time before which none is left.
std::int64_t drop_readings(Database& database, std::int64_t before, std::size_t rows, std::size_t& gone) {
    Statement& last = database.prepared(
        "SELECT at_ms FROM reading WHERE at_ms < ?1 ORDER BY at_ms LIMIT 1 OFFSET ?2", before, rows);
    const std::int64_t until = last.next() ? last.integer(0) + 1 : before;
    last.reset();
    gone += static_cast<std::size_t>(database.prepared("DELETE FROM reading WHERE at_ms < ?1", until).run());
    database.prepared("DELETE FROM doubted_reading WHERE at_ms < ?1", until).run();
    return until;
}

/// Of each hour the last estimate stays, of every vessel and quantity.
std::size_t thin_estimates(Database& database, std::int64_t from, std::int64_t to) {
    return static_cast<std::size_t>(
        database
            .prepared(
                "DELETE FROM estimate WHERE at_ms >= ?1 AND at_ms < ?2 AND (at_ms, vessel, quantity) NOT IN "
                "(SELECT max(at_ms), vessel, quantity FROM estimate WHERE at_ms >= ?1 AND at_ms < ?2 "
                "GROUP BY at_ms / 3600000, vessel, quantity)",
                from, to)
            .run());
}

}  // namespace

std::size_t Store::prune(Timestamp before, std::size_t rows) {
    Database& db = database();
    const std::int64_t before_ms = before.time_since_epoch().count();
    const std::int64_t thin_until = before_ms / hour_ms * hour_ms;
    const std::int64_t thin_from = remembered(*this, "thinned_until_ms");
    const std::int64_t raw_since = remembered(*this, "raw_since_ms");
    std::size_t gone = 0;

    Transaction transaction{db};
    const std::int64_t until = drop_readings(db, before_ms, rows, gone);
    if (until > raw_since) remember("raw_since_ms", std::to_string(until));
    if (thin_until > thin_from) {
        gone += thin_estimates(db, thin_from, thin_until);
        remember("thinned_until_ms", std::to_string(thin_until));
    }
    gone += static_cast<std::size_t>(db.prepared("DELETE FROM outbox WHERE done_ms < ?1", before).run());
    transaction.commit();
    return gone;
}

}  // namespace gyled::storage
