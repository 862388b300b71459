// The questions about readings and estimates.

#include <algorithm>
#include <limits>
#include <unordered_map>

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
        trend.at.emplace_back(base::Duration{start + rows.integer(0) * width});
        trend.value.push_back(rows.real(1));
        trend.low.push_back(rows.real(2));
        trend.high.push_back(rows.real(3));
    }
    return trend;
}

/// "series = 7 OR series = 9": as literals, for then a long walk through time compares two numbers a row and
/// looks nothing up. Empty when nothing was ever heard.
std::string series_are(const std::vector<std::int64_t>& ids) {
    std::string out;
    for (const std::int64_t id : ids)
        out += (out.empty() ? "(series = " : " OR series = ") + std::to_string(id);
    return out.empty() ? out : out + ')';
}

std::vector<std::int64_t> numbers(Statement& rows) {
    std::vector<std::int64_t> out;
    while (rows.next()) out.push_back(rows.integer(0));
    return out;
}

std::vector<std::int64_t> series_of(Database& database, const std::string& vessel, Quantity quantity) {
    return numbers(
        database.prepared("SELECT series.id FROM series JOIN vessel ON vessel.id = vessel WHERE vessel.key = "
                          "?1 AND quantity = ?2",
                          vessel, static_cast<int>(quantity)));
}

Statement& raw_rows(Database& database, const std::string& series, std::int64_t from, std::int64_t to,
                    std::int64_t width) {
    return database.prepared("SELECT (at_ms - ?1) / ?3, avg(" GYLED_READING_VALUE
                             "), min(" GYLED_READING_VALUE "), max(" GYLED_READING_VALUE
                             ") FROM reading WHERE at_ms >= ?1 AND at_ms < ?2 AND " +
                                 series + " GROUP BY 1 ORDER BY 1",
                             from, to, width);
}

Statement& rollup_rows(Database& database, const std::string& series, std::int64_t from, std::int64_t to,
                       std::int64_t width) {
    return database.prepared(
        "SELECT (quarter - ?1) / ?3, sum(n * mean) / sum(n), min(low), max(high) FROM rollup "
        "WHERE quarter >= ?1 AND quarter < ?2 AND " +
            series + " GROUP BY 1 ORDER BY 1",
        from, to, width);
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

/// What the numbers of series stand for; `value` and `at` are filled in row by row.
std::unordered_map<std::int64_t, cellar::ReadingPoint> series_by_number(Database& database,
                                                                        const std::string& vessel) {
    std::unordered_map<std::int64_t, cellar::ReadingPoint> out;
    Statement& rows = database.prepared(
        "SELECT series.id, sensor, vessel.key, quantity FROM series JOIN vessel ON vessel.id = vessel "
        "WHERE ?1 = '' OR vessel.key = ?1",
        vessel);
    while (rows.next()) {
        cellar::ReadingPoint point;
        point.sensor = rows.text(1);
        point.vessel = rows.text(2);
        point.quantity = static_cast<Quantity>(rows.integer(3));
        out.emplace(rows.integer(0), std::move(point));
    }
    return out;
}

using Values = std::vector<cellar::StoredValue>;

Values stored_readings(Database& database, const std::string& vessel, Timestamp from, Timestamp to,
                       std::size_t limit) {
    const auto points = series_by_number(database, vessel);
    std::vector<std::int64_t> ids;
    for (const auto& [id, point] : points) ids.push_back(id);
    if (ids.empty()) return {};
    std::ranges::sort(ids);
    Statement& rows = database.prepared("SELECT at_ms, series, " GYLED_READING_VALUE
                                        " FROM reading WHERE at_ms >= ?1 AND at_ms < ?2 AND " +
                                            series_are(ids) + " ORDER BY at_ms, series LIMIT ?3",
                                        from, to, limit);
    Values out;
    while (rows.next()) {
        const cellar::ReadingPoint& point = points.at(rows.integer(1));
        const double value = rows.real(2);
        out.push_back({rows.time(0), point.quantity, point.sensor, {value, value, value}});
    }
    return out;
}

Values stored_estimates(Database& database, const std::string& vessel, Timestamp from, Timestamp to,
                        std::size_t limit) {
    Statement& rows = database.prepared(
        "SELECT at_ms, quantity, value, low, high FROM estimate WHERE at_ms >= ?2 AND at_ms < ?3 "
        "AND vessel = (SELECT id FROM vessel WHERE key = ?1) ORDER BY at_ms, quantity LIMIT ?4",
        vessel, from, to, limit);
    Values out;
    while (rows.next())
        out.push_back({rows.time(0),
                       static_cast<Quantity>(rows.integer(1)),
                       {},
                       {rows.real(2), rows.real(3), rows.real(4)}});
    return out;
}

/// A list that is full may have been cut within its last moment: that one waits for the next page.
std::optional<Timestamp> cut(const Values& values, std::size_t limit) {
    return values.size() < limit ? std::nullopt : std::optional{values.back().at};
}

}  // namespace

cellar::StoredValues Queries::values(const std::string& vessel, Timestamp from, Timestamp to,
                                     std::size_t limit) const {
    const Values readings = stored_readings(*database_, vessel, from, to, limit);
    const Values estimates = stored_estimates(*database_, vessel, from, to, limit);
    cellar::StoredValues page;
    std::ranges::merge(readings, estimates, std::back_inserter(page.values), {}, &cellar::StoredValue::at,
                       &cellar::StoredValue::at);
    for (const auto& full : {cut(readings, limit), cut(estimates, limit)})
        if (full) page.next = std::min(page.next.value_or(*full), *full);
    if (page.next)
        std::erase_if(page.values, [&](const cellar::StoredValue& v) { return v.at >= *page.next; });
    return page;
}

std::size_t Queries::for_each_reading(const std::string& vessel, Timestamp from, Timestamp to,
                                      const std::function<void(const cellar::ReadingPoint&)>& each) const {
    auto points = series_by_number(*database_, vessel);
    if (points.empty()) return 0;
    std::vector<std::int64_t> ids;
    if (!vessel.empty())
        for (const auto& [id, point] : points) ids.push_back(id);
    std::sort(ids.begin(), ids.end());
    Statement& rows = database_->prepared(
        "SELECT at_ms, series, " GYLED_READING_VALUE " FROM reading WHERE at_ms >= ?1 AND at_ms < ?2" +
            (ids.empty() ? "" : " AND " + series_are(ids)) + " ORDER BY at_ms, series",
        from, to);
    const Rewind rewind{rows};
    std::size_t count = 0;
    for (; rows.next(); ++count) {
        cellar::ReadingPoint& point = points[rows.integer(1)];
        point.at = point.arrived = rows.time(0);
        point.value = rows.real(2);
        each(point);
    }
    return count;
}

Trend Queries::trend(const std::string& vessel, Quantity quantity, Timestamp from, Timestamp to,
                     std::size_t points) const {
    if (to <= from || points == 0) return {};
    const auto buckets = static_cast<std::int64_t>(std::min<std::size_t>(points, 1'000'000));
    const std::int64_t width = divide_up(ms(to) - ms(from), buckets);
    if (!base::is_measured(quantity))
        return trend_from(estimate_rows(*database_, vessel, quantity, ms(from), ms(to), width), ms(from),
                          width);
    const std::string series = series_are(series_of(*database_, vessel, quantity));
    if (series.empty()) return {};
    if (width <= widest_raw_bucket_ms && ms(from) >= raw_since(*this))
        return trend_from(raw_rows(*database_, series, ms(from), ms(to), width), ms(from), width);

    const std::int64_t first = divide_down(ms(from), quarter_hour_ms);
    const std::int64_t end = divide_down(ms(to) - 1, quarter_hour_ms) + 1;
    const std::int64_t quarters = divide_up(end - first, buckets);
    return trend_from(rollup_rows(*database_, series, first, end, quarters), first * quarter_hour_ms,
                      quarters * quarter_hour_ms);
}

}  // namespace gyled::storage
