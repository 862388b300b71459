#include "daemon/storage/store.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <map>

#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/database.hpp"
#include "daemon/storage/file_watch.hpp"
#include "daemon/storage/known.hpp"
#include "daemon/storage/recover.hpp"
#include "daemon/storage/schema.hpp"
#include "daemon/storage/state_document.hpp"
#include "daemon/storage/value.hpp"

namespace gyled::storage {
namespace {

std::unique_ptr<Database> open(const Opening& opening) {
    auto database =
        std::make_unique<Database>(opening.path, Database::Access::read_write, opening.busy_timeout);
    database->keep_wal_files();
    database->execute("PRAGMA foreign_keys = ON");
    if (opening.pages_max > 0)
        database->execute("PRAGMA max_page_count = " + std::to_string(opening.pages_max));
    // what is not ours, or newer than us, is refused before anything in it changes
    refuse_foreign(*database, migrations());
    database->execute("PRAGMA journal_mode = WAL");
    database->sync_commits(true);
    database->execute("PRAGMA journal_size_limit = 4194304");
    database->leave_log_to_us();
    bring_up_to_date(*database, migrations());
    return database;
}

/// The readings of this group that were new, by series and quarter of an hour.
struct Quarter {
    std::int64_t n = 0;
    double sum = 0, low = 0, high = 0;
    void add(double value) {
        low = n == 0 ? value : std::min(low, value);
        high = n == 0 ? value : std::max(high, value);
        sum += value;
        ++n;
    }
};
using Quarters = std::map<std::pair<std::int64_t, std::int64_t>, Quarter>;

std::int64_t quarter_of(Timestamp at) {
    const std::int64_t ms = at.time_since_epoch().count();
    return ms / quarter_hour_ms - (ms % quarter_hour_ms < 0 ? 1 : 0);
}

void write_quarters(Database& database, const Quarters& quarters) {
    for (const auto& [key, quarter] : quarters) {
        const auto& [number, series] = key;
        database
            .prepared(
                "INSERT INTO rollup VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT DO UPDATE SET "
                "mean = (n * mean + excluded.n * excluded.mean) / (n + excluded.n), n = n + excluded.n, "
                "low = min(low, excluded.low), high = max(high, excluded.high)",
                number, series, quarter.n, quarter.sum / static_cast<double>(quarter.n), quarter.low,
                quarter.high)
            .run();
        // so that nobody has to search for a sensor's last word
        database
            .prepared(
                "UPDATE series SET newest_quarter = ?1 WHERE id = ?2 AND coalesce(newest_quarter < ?1, 1)",
                number, series)
            .run();
    }
}

bool write_reading(Database& database, const cellar::ReadingPoint& point, std::int64_t series) {
    static constexpr std::string_view sql = "INSERT OR IGNORE INTO reading VALUES (?1, ?2, ?3)";
    if (const auto scaled = in_hundred_thousandths(point.value))
        return database.prepared(sql, point.at, series, *scaled).run() == 1;
    return database.prepared(sql, point.at, series, point.value).run() == 1;
}

std::size_t write_readings(Database& database, Known& known,
                           const std::vector<cellar::ReadingPoint>& readings) {
    std::size_t fresh = 0;
    Quarters quarters;
    for (const cellar::ReadingPoint& point : readings) {
        if (!std::isfinite(point.value)) continue;
        const std::int64_t series = known.series(database, point.sensor, point.vessel, point.quantity);
        if (point.quality != sensors::Quality::accepted) {
            database
                .prepared("INSERT OR IGNORE INTO doubted_reading VALUES (?1, ?2, ?3, ?4)", point.at, series,
                          point.value, sensors::name(point.quality))
                .run();
        } else if (write_reading(database, point, series)) {
            ++fresh;
            quarters[{quarter_of(point.at), series}].add(point.value);
        }
    }
    write_quarters(database, quarters);
    return fresh;
}

void write_estimate(Database& database, Known& known, const cellar::EstimatePoint& point) {
    const base::Estimate& belief = point.estimate;
    if (!std::isfinite(belief.value) || !std::isfinite(belief.low) || std::isnan(belief.high) ||
        belief.high == -std::numeric_limits<double>::infinity())
        return;
    database
        .prepared(
            "INSERT INTO estimate VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT DO UPDATE SET "
            "value = excluded.value, low = excluded.low, high = excluded.high",
            point.at, known.vessel(database, point.vessel), static_cast<int>(point.quantity), belief.value,
            belief.low, belief.high)
        .run();
}

/// What stands in the file under a batch's id.
struct StoredBatch {
    std::int64_t vessel = 0;
    std::string vessel_key;
    Timestamp started;
    bool has_ended = false;
};

std::optional<StoredBatch> stored_batch(Database& database, const std::string& id) {
    Statement& row = database.prepared(
        "SELECT vessel, key, started_ms, ended_ms IS NOT NULL FROM batch JOIN vessel ON vessel.id = vessel "
        "WHERE batch.id = ?1",
        id);
    const Rewind rewind{row};
    if (!row.next()) return std::nullopt;
    return StoredBatch{row.integer(0), row.text(1), row.time(2), row.integer(3) != 0};
}

/// Why a batch is left out, in words. One id, one batch: never of two vessels, and one that has ended does
/// not begin anew. The start of a running one may be corrected.
std::optional<std::string> objection_to(Database& database, const batch::Record& batch, std::int64_t vessel) {
    const auto stored = stored_batch(database, batch.id);
    if (!stored) return std::nullopt;
    if (stored->vessel == vessel && (!stored->has_ended || stored->started == batch.started))
        return std::nullopt;
    return fmt::format(
        "the batch in '{}' that began {} is not stored: it has the id of another one, '{}' of vessel '{}' "
        "that began {}, and neither may overwrite the other; end it and start it anew",
        batch.plan.vessel, base::to_rfc3339(batch.started), batch.id, stored->vessel_key,
        base::to_rfc3339(stored->started));
}

/// False when it was left out; everything else of the group is written all the same.
bool write_batch(Database& database, Known& known, const batch::Record& batch) {
    const std::string document = to_document(batch);
    const std::int64_t vessel = known.vessel(database, batch.plan.vessel);
    if (auto words = objection_to(database, batch, vessel)) {
        known.refuse(std::move(*words));
        return false;
    }
    database
        .prepared(
            "INSERT INTO batch VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT DO UPDATE SET "
            "started_ms = excluded.started_ms, ended_ms = excluded.ended_ms, document = excluded.document "
            "WHERE document IS NOT excluded.document",
            batch.id, vessel, batch.started, batch.ended, document)
        .run();
    return true;
}

void write_state(Database& database, Known& known, const cellar::VesselState& state) {
    std::optional<std::string> batch;
    if (state.batch && write_batch(database, known, *state.batch)) batch = state.batch->id;
    const std::string document = to_document(state);
    database
        .prepared(
            "INSERT INTO vessel_state VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT DO UPDATE SET version = "
            "excluded.version, "
            "at_ms = excluded.at_ms, batch = excluded.batch, document = excluded.document",
            state.vessel, state.version, state.at, batch, document)
        .run();
}

void write_learned(Database& database, const std::string& culture_name,
                   const estimation::LearnedCurve& curve) {
    const std::string document = to_document(curve);
    database
        .prepared(
            "INSERT INTO learned VALUES (?1, ?2) ON CONFLICT DO UPDATE SET document = excluded.document",
            culture_name, document)
        .run();
}

void write_sensor_state(Database& database, const sensors::SensorState& state) {
    database
        .prepared(
            "INSERT INTO sensor_state VALUES (?1, ?2) ON CONFLICT DO UPDATE SET document = excluded.document "
            "WHERE document IS NOT excluded.document",
            state.sensor, to_document(state))
        .run();
}

void write_fact(Database& database, Known& known, const cellar::FactChange& change) {
    const estimation::Fact& fact = change.fact;
    std::optional<Timestamp> revoked_at;
    if (fact.revoked) revoked_at = fact.revoked_at;
    database
        .prepared(
            "INSERT INTO fact VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) ON CONFLICT DO UPDATE SET evidence = "
            "excluded.evidence, "
            "revoked_ms = excluded.revoked_ms, revoked_because = excluded.revoked_because",
            known.vessel(database, change.vessel), change.batch, estimation::name(fact.kind), fact.at,
            fact.evidence, revoked_at, fact.revoked_because)
        .run();
}

std::optional<double> finite(std::optional<double> value) {
    return value && std::isfinite(*value) ? value : std::nullopt;
}

void write_transition(Database& database, const alarms::Transition& step) {
    const std::string_view state = alarms::name(step.state), priority = alarms::name(step.priority);
    std::optional<Timestamp> ended;
    if (step.state == alarms::AlarmState::normal) ended = step.at;
    const auto value = finite(step.value), limit = finite(step.limit);
    database
        .prepared(
            "INSERT INTO alarm VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?10, ?11, ?12, ?13, ?14) "
            "ON CONFLICT DO UPDATE SET state = excluded.state, priority = excluded.priority, "
            "changed_ms = excluded.changed_ms, ended_ms = excluded.ended_ms, text = excluded.text, "
            "value = excluded.value, limit_value = excluded.limit_value, title = excluded.title, rings = "
            "excluded.rings",
            step.alarm, step.vessel, step.rule, step.subject, step.raised_at, state, priority, step.at, ended,
            step.text, value, limit, step.title, step.annunciated)
        .run();
    database
        .prepared(
            "INSERT OR IGNORE INTO alarm_step (alarm, at_ms, state, priority, text, value, limit_value, "
            "title, rings) "
            "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            step.alarm, step.at, state, priority, step.text, value, limit, step.title, step.annunciated)
        .run();
}

/// Must it outlive a power cut once the caller has been told that it is written? A person has heard of an
/// alarm, was answered a command, or soon will be.
bool is_confirmed_to_a_person(const Commit& group) {
    const cellar::Effects& effects = group.effects;
    return !effects.transitions.empty() || !effects.notices.empty() || !effects.batches.empty() ||
           !effects.facts.empty();
}

/// What changes the file within its life is our own doing, unless there was trouble before.
class OurDoing {
public:
    explicit OurDoing(FileWatch& watch) : watch_{watch}, was_clean_{!watch.trouble()} {}
    ~OurDoing() {
        if (was_clean_) watch_.remember();
    }
    OurDoing(const OurDoing&) = delete;
    OurDoing& operator=(const OurDoing&) = delete;

private:
    FileWatch& watch_;
    bool was_clean_;
};

/// A log of this size is moved into the file: SQLite's own default of 1000 pages.
constexpr int log_pages_max = 1000;
constexpr auto quick_check_at_most = std::chrono::seconds{1};

}  // namespace

Store::Store(const Opening& opening)
    : Queries{open(opening)},
      known_{std::make_unique<Known>()},
      watch_{std::make_unique<FileWatch>(database())},
      sync_every_{opening.sync_every},
      synced_at_{std::chrono::steady_clock::now()},
      outbox_{std::make_unique<OutboxTable>(database(), opening.outbox_ids_above)} {
    Transaction transaction{database()};
    for (const Quantity quantity : base::all_quantities())
        database()
            .prepared("INSERT OR IGNORE INTO quantity (id, name, unit) VALUES (?1, ?2, ?3)",
                      static_cast<int>(quantity), base::name(quantity), base::unit(quantity))
            .run();
    transaction.commit();
}
Store::Store(Store&&) noexcept = default;

Store::~Store() {
    if (!database_) return;
    try {
        close();
    } catch (const StorageError&) {
        // the log stays beside the file, and the next opening reads it
    }
}

std::size_t Store::write(const Commit& group) {
    const auto now = std::chrono::steady_clock::now();
    const bool synced = is_confirmed_to_a_person(group) || now - synced_at_ >= sync_every_;
    std::size_t fresh = 0;
    database().sync_commits(synced);
    try {
        write_group(group, fresh);
    } catch (...) {
        known_->forget();  // ids given out in a transaction that is no more
        database().sync_commits(true);
        throw;
    }
    database().sync_commits(true);
    if (synced) synced_at_ = now;
    for (const cellar::VesselState& state : group.states)
        if (state.vessel.empty()) state_at_ = state.at;
    keep_log_short();
    return fresh;
}

void Store::write_group(const Commit& group, std::size_t& fresh) {
    Database& db = database();
    Transaction transaction{db};
    const cellar::Effects& effects = group.effects;
    fresh = write_readings(db, *known_, effects.readings);
    for (const cellar::EstimatePoint& point : effects.estimates) write_estimate(db, *known_, point);
    for (const batch::Record& batch : effects.batches) write_batch(db, *known_, batch);
    for (const cellar::FactChange& change : effects.facts) write_fact(db, *known_, change);
    for (const alarms::Transition& step : effects.transitions) write_transition(db, step);
    for (const annunciation::Notice& notice : effects.notices) outbox_->add(notice);
    for (const cellar::VesselState& state : group.states) write_state(db, *known_, state);
    for (const auto& [culture_name, curve] : group.learned) write_learned(db, culture_name, curve);
    for (const sensors::SensorState& state : group.sensors) write_sensor_state(db, state);
    transaction.commit();
}

/// The only place beside `checkpoint` where the file itself changes: a commit changes the log alone.
void Store::keep_log_short() {
    if (database().log_pages() < log_pages_max) return;
    const OurDoing ours{*watch_};
    database().checkpoint(Database::Reset::when_all_is_moved);
}

std::vector<std::string> Store::take_refusals() {
    return known_->take_refusals();
}

void Store::remember(const std::string& key, const std::string& value) {
    database()
        .prepared("INSERT INTO memory VALUES (?1, ?2) ON CONFLICT DO UPDATE SET value = excluded.value", key,
                  value)
        .run();
}

void Store::checkpoint() {
    const OurDoing ours{*watch_};
    database().checkpoint();
}

void Store::close() {
    if (database().handle() == nullptr) return;
    checkpoint();
    database().close();
}

void Store::abandon() {
    database().abandon();
}

// ---- what became of the file

std::string Store::recover_from(const std::string& aside, std::chrono::milliseconds at_most) {
    const Recovery recovery = recover(aside, database(), at_most);
    checkpoint();
    return in_words(recovery);
}

std::optional<FileTrouble> Store::trouble() {
    const auto found = watch_->trouble();
    if (found != FileTrouble::touched) return found;
    if (!is_sound_for_others()) return FileTrouble::overwritten;
    watch_->remember();
    return std::nullopt;
}

/// What a connection of its own finds in the file: sound pages, and what we wrote last.
bool Store::is_sound_for_others() const try {
    Database stranger{path(), Database::Access::read_only, std::chrono::seconds{1}};
    const std::int64_t at_ms = stranger.number("SELECT at_ms FROM vessel_state WHERE vessel = ''");
    if (state_at_ && at_ms != state_at_->time_since_epoch().count()) return false;
    return stranger.is_sound_as_far_as_seen(quick_check_at_most);
} catch (const StorageError&) {
    return false;
}

}  // namespace gyled::storage
