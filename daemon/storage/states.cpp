// The memory of every vessel, as it was kept or, in a store that never kept it, as it can be made.

#include <fmt/format.h>

#include <algorithm>

#include "daemon/storage/batch_document.hpp"
#include "daemon/storage/database.hpp"
#include "daemon/storage/queries.hpp"
#include "daemon/storage/state_document.hpp"
#include "daemon/storage/value.hpp"

namespace gyled::storage {
namespace {

using cellar::VesselState;
using States = std::map<std::string, VesselState>;

[[noreturn]] void fail(const Database& database, const std::string& vessel, const std::string& problem) {
    throw StorageError{StorageError::Kind::damaged, database.path(),
                       fmt::format("{}: cannot understand what is remembered of vessel '{}': {}",
                                   database.path(), vessel, problem)};
}

/// A row of (vessel, batch's id, state's document, batch's document).
VesselState kept_state(const Database& database, const Statement& row) try {
    VesselState state = state_from(row.text(2));
    state.vessel = row.text(0);
    if (!row.is_null(1)) state.batch = batch_from(row.text(3));
    return state;
} catch (const StorageError&) {
    throw;
} catch (const std::runtime_error& problem) {
    fail(database, row.text(0), problem.what());
}

States kept_states(Database& database) {
    States out;
    Statement& rows = database.prepared(
        "SELECT vessel_state.vessel, batch, vessel_state.document, batch.document FROM vessel_state "
        "LEFT JOIN batch ON batch.id = vessel_state.batch");
    const Rewind rewind{rows};
    while (rows.next()) out.emplace(rows.text(0), kept_state(database, rows));
    return out;
}

/// What every sensor said last, as far as it is still kept raw.
void take_last_words(Database& database, States& made) {
    Statement& rows = database.prepared(
        "SELECT vessel.key, sensor, quantity, max(at_ms), CASE typeof(value) WHEN 'integer' THEN value / 1e5 "
        "ELSE value END "
        "FROM series JOIN vessel ON vessel.id = series.vessel CROSS JOIN reading ON reading.series = "
        "series.id "
        "AND at_ms >= newest_quarter * 900000 AND at_ms < newest_quarter * 900000 + 900000 GROUP BY "
        "series.id");
    const Rewind rewind{rows};
    while (rows.next()) {
        const auto found = made.find(rows.text(0));
        if (found == made.end()) continue;
        VesselState& state = found->second;
        const Timestamp at = rows.time(3);
        state.sensors.push_back({.sensor = rows.text(1), .last_at = at, .watched_since = at, .cadence = {}});
        alarms::Latest& latest = state.latest[static_cast<Quantity>(rows.integer(2))];
        if (at >= latest.at) latest = {rows.real(4), at, base::FreshnessParameters{}.unlearnt};
        state.at = std::max(state.at, at);
    }
}

bool is_finished(const batch::Record& batch) {
    return std::ranges::any_of(batch.facts, [](const estimation::Fact& fact) {
        return fact.kind == estimation::FactKind::fermentation_finished && !fact.revoked;
    });
}

/// Version 1 did not keep what a batch began with. Until it has finished, that is what its culture had
/// learnt; afterwards its own teaching is in there, and would come back to it.
void give_prior(batch::Record& batch, const std::map<std::string, estimation::LearnedCurve>& learned) {
    const auto found = learned.find(batch.plan.culture_name);
    if (!batch.prior && found != learned.end() && !is_finished(batch)) batch.prior = found->second;
}

}  // namespace

std::vector<VesselState> Queries::vessel_states() const {
    States kept = kept_states(*database_), made;
    const auto to_make = [&](const std::string& vessel) -> VesselState* {
        if (kept.contains(vessel)) return nullptr;
        VesselState& state = made[vessel];
        state.vessel = vessel;
        return &state;
    };
    for (batch::Record& batch : running_batches())
        if (VesselState* state = to_make(batch.plan.vessel)) {
            state->at = std::max(state->at, batch.stages.empty() ? batch.started : batch.stages.back().at);
            give_prior(batch, learned());
            state->batch = std::move(batch);
        }
    for (const alarms::Transition& last : standing_alarms())
        if (VesselState* state = to_make(last.vessel)) {
            state->at = std::max(state->at, last.at);
            state->alarms.occurrences.push_back(alarms::occurrence_from(last));
            const auto heard = annunciation::log_from({last}).entries;
            state->annunciations.entries.insert(state->annunciations.entries.end(), heard.begin(),
                                                heard.end());
        }
    if (!made.empty()) take_last_words(*database_, made);

    kept.merge(made);
    std::vector<VesselState> out;
    for (auto& [vessel, state] : kept) out.push_back(std::move(state));
    return out;
}

}  // namespace gyled::storage
