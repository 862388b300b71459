// The questions about readings and estimates.

#include <algorithm>

#include "daemon/storage/database.hpp"
#include "daemon/storage/queries.hpp"
#include "daemon/storage/value.hpp"

namespace gyled::storage {
namespace {

constexpr std::int64_t widest_raw_bucket_ms = 300'000;

std::int64_t ms(Timestamp t) {
    return t.time_since_epoch().count();
}
/// Rounded up; both positive.
std::int64_t divide_up(std::int64_t a, std::int64_t b) {
    return (a + b - 1) / b;
}
/// Rounded down, before 1970 too.
std::int64_t divide_down(std::int64_t a, std::int64_t b) {
    return a / b - (a % b < 0 ? 1 : 0);
}

/// Rows of (bucket number, value, low, high), bucket 0 starting at `start` ms.
Trend trend_from(Statement& rows, std::int64_t start, std::int64_t width) {
    Trend trend;
    while (rows.next()) {
        trend.at.emplace_back(brewing::Duration{start + rows.integer(0) * width});
        trend.value.push_back(rows.real(1));
        trend.low.push_back(rows.real(2));
        trend.high.push_back(rows.real(3));
    }
    return trend;
}

#define GYLED_SERIES_OF                                                                                 \
    "(SELECT series.id FROM series JOIN vessel ON vessel.id = series.vessel WHERE vessel.key = ?1 AND " \
    "quantity = ?2)"

Statement& raw_rows(Database& database, const std::string& vessel, Quantity quantity, std::int64_t from,
                    std::int64_t to, std::int64_t width) {
    return database.prepared("SELECT (at_ms - ?3) / ?5, avg(" GYLED_READING_VALUE
                             "), min(" GYLED_READING_VALUE "), max(" GYLED_READING_VALUE
                             ") FROM reading "
                             "WHERE at_ms >= ?3 AND at_ms < ?4 AND series IN " GYLED_SERIES_OF
                             " GROUP BY 1 ORDER BY 1",
                             vessel, static_cast<int>(quantity), from, to, width);
}

Statement& rollup_rows(Database& database, const std::string& vessel, Quantity quantity, std::int64_t from,
                       std::int64_t to, std::int64_t width) {
    return database.prepared(
        "SELECT (quarter - ?3) / ?5, sum(n * mean) / sum(n), min(low), max(high) FROM rollup "
        "WHERE quarter >= ?3 AND quarter < ?4 AND series IN " GYLED_SERIES_OF " GROUP BY 1 ORDER BY 1",
        vessel, static_cast<int>(quantity), from, to, width);
}

Statement& estimate_rows(Database& database, const std::string& vessel, Quantity quantity, std::int64_t from,
                         std::int64_t to, std::int64_t width) {
    return database.prepared(
        "SELECT (at_ms - ?3) / ?5, avg(value), min(low), max(high) FROM estimate WHERE at_ms >= ?3 AND at_ms "
        "< ?4 "
        "AND quantity = ?2 AND vessel = (SELECT id FROM vessel WHERE key = ?1) GROUP BY 1 ORDER BY 1",
        vessel, static_cast<int>(quantity), from, to, width);
}

/// Raw readings from before this time are gone.
std::int64_t raw_since(const Queries& queries) {
    const auto text = queries.recall("raw_since_ms");
    return text ? std::stoll(*text) : std::numeric_limits<std::int64_t>::min();
}

cellar::ReadingPoint reading_from(const Statement& row) {
    const Timestamp at = row.time(0);
    return {.sensor = row.text(1),
            .vessel = row.text(2),
            .quantity = static_cast<Quantity>(row.integer(3)),
            .at = at,
            .arrived = at,
            .value = row.real(4)};
}

}  // namespace

std::size_t Queries::for_each_reading(const std::string& vessel, Timestamp from, Timestamp to,
                                      const std::function<void(const cellar::ReadingPoint&)>& each) const {
    Statement& rows = database_->prepared(
        "SELECT at_ms, sensor, vessel.key, quantity, " GYLED_READING_VALUE
        " FROM reading CROSS JOIN series ON series.id = reading.series CROSS JOIN vessel ON vessel.id = "
        "series.vessel "
        "WHERE at_ms >= ?1 AND at_ms < ?2 AND (?3 = '' OR vessel.key = ?3) ORDER BY at_ms, series.id",
        from, to, vessel);
    std::size_t count = 0;
    for (; rows.next(); ++count) each(reading_from(rows));
    return count;
}

std::vector<cellar::ReadingPoint> Queries::last_readings() const {
    // the roll-ups, sixty times shorter, tell in which quarter of an hour to look
    std::vector<cellar::ReadingPoint> out;
    Statement& rows = database_->prepared(
        "SELECT max(at_ms), sensor, vessel.key, quantity, " GYLED_READING_VALUE
        " FROM (SELECT series, max(quarter) AS quarter FROM rollup GROUP BY series) AS newest "
        "JOIN series ON series.id = newest.series JOIN vessel ON vessel.id = series.vessel "
        "JOIN reading ON reading.series = newest.series AND reading.at_ms >= newest.quarter * 900000 "
        "AND reading.at_ms < newest.quarter * 900000 + 900000 "
        "GROUP BY newest.series ORDER BY newest.series");
    while (rows.next()) out.push_back(reading_from(rows));
    return out;
}

Trend Queries::trend(const std::string& vessel, Quantity quantity, Timestamp from, Timestamp to,
                     std::size_t points) const {
    if (to <= from || points == 0) return {};
    const auto buckets = static_cast<std::int64_t>(std::min<std::size_t>(points, 1'000'000));
    const std::int64_t width = divide_up(ms(to) - ms(from), buckets);
    if (!brewing::is_measured(quantity))
        return trend_from(estimate_rows(*database_, vessel, quantity, ms(from), ms(to), width), ms(from),
                          width);
    if (width <= widest_raw_bucket_ms && ms(from) >= raw_since(*this))
        return trend_from(raw_rows(*database_, vessel, quantity, ms(from), ms(to), width), ms(from), width);

    const std::int64_t first = divide_down(ms(from), quarter_hour_ms);
    const std::int64_t end = divide_down(ms(to) - 1, quarter_hour_ms) + 1;
    const std::int64_t quarters = divide_up(end - first, buckets);
    return trend_from(rollup_rows(*database_, vessel, quantity, first, end, quarters),
                      first * quarter_hour_ms, quarters * quarter_hour_ms);
}

}  // namespace gyled::storage
