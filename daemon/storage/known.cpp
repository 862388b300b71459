#include "daemon/storage/known.hpp"

namespace gyled::storage {
namespace {

std::int64_t only_number(Statement& row) {
    const Rewind rewind{row};
    return row.next() ? row.integer(0) : 0;
}

}  // namespace

std::int64_t Known::vessel(Database& database, const std::string& key) {
    if (const auto found = vessels_.find(key); found != vessels_.end()) return found->second;
    database.prepared("INSERT OR IGNORE INTO vessel (key, name) VALUES (?1, ?1)", key).run();
    const std::int64_t id = only_number(database.prepared("SELECT id FROM vessel WHERE key = ?1", key));
    vessels_.emplace(key, id);
    return id;
}

std::int64_t Known::series(Database& database, const std::string& sensor, const std::string& vessel_key,
                           base::Quantity quantity) {
    if (const auto found = series_.find(sensor);
        found != series_.end() && found->second.quantity == quantity && found->second.vessel == vessel_key)
        return found->second.id;
    const std::int64_t vessel_id = vessel(database, vessel_key);
    const int quantity_id = static_cast<int>(quantity);
    database
        .prepared("INSERT OR IGNORE INTO series (sensor, vessel, quantity) VALUES (?1, ?2, ?3)", sensor,
                  vessel_id, quantity_id)
        .run();
    const std::int64_t id = only_number(
        database.prepared("SELECT id FROM series WHERE sensor = ?1 AND vessel = ?2 AND quantity = ?3", sensor,
                          vessel_id, quantity_id));
    series_[sensor] = {vessel_key, quantity, id};
    return id;
}

void Known::forget() {
    vessels_.clear();
    series_.clear();
}

void Known::refuse(std::string words) {
    if (refused_.insert(words).second) refusals_.push_back(std::move(words));
}

}  // namespace gyled::storage
