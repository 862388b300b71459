#include "daemon/storage/state_document.hpp"

#include "daemon/storage/batch_fields.hpp"

namespace gyled::storage {

/// The outside reads "cleared" for normal; here each has its own word.
template <>
struct Words<alarms::AlarmState> {
    static constexpr std::array<std::string_view, 6> words{"normal",       "pending",   "raised",
                                                           "acknowledged", "returning", "shelved"};
    [[nodiscard]] static std::string name(alarms::AlarmState state) {
        return std::string{words.at(static_cast<std::size_t>(state))};
    }
    [[nodiscard]] static std::optional<alarms::AlarmState> named(std::string_view text) {
        return at_place_of<alarms::AlarmState>(text, words);
    }
};
template <>
struct Words<alarms::Priority>
    : NamedWords<static_cast<std::string_view (*)(alarms::Priority)>(alarms::name), alarms::priority_named> {
};

template <class Field>
void fields(Field& field, Of<alarms::Transition> auto& it) {
    field("alarm", it.alarm);
    field("vessel", it.vessel);
    field("rule", it.rule);
    field("subject", it.subject);
    field("state", it.state);
    field("priority", it.priority);
    field("at_ms", it.at);
    field("raised_at_ms", it.raised_at);
    field("text", it.text);
    field("value", it.value);
    field("limit", it.limit);
    field("title", it.title);
    field("annunciated", it.annunciated);
    field("evidence_at_ms", it.evidence_at);
    field("batch", it.batch);
    field("first_aid", it.first_aid);
}

template <class Field>
void fields(Field& field, Of<alarms::Present> auto& it) {
    field("evidence_at_ms", it.evidence_at);
    field("value", it.value);
    field("title", it.title);
    field("text", it.text);
    field("step", it.step);
}

template <class Field>
void fields(Field& field, Of<alarms::Occurrence> auto& it) {
    field("last", it.last);
    field("state", it.state);
    field("since_ms", it.since);
    field("acknowledged", it.acknowledged);
    field("shelved_until_ms", it.shelved_until);
    field("breached_since_ms", it.breached_since);
    field("step", it.step);
    field("raised_value", it.raised_value);
    field("worst", it.worst);
    field("present", it.present);
}

template <class Field>
void fields(Field& field, Of<alarms::ApproachState> auto& it) {
    field("stage_since_ms", it.stage_since);
    field("nearest", it.nearest);
    field("arrived", it.arrived);
}

template <class Field>
void fields(Field& field, Of<alarms::PanelState> auto& it) {
    field("occurrences", it.occurrences);
    field("temperature", it.temperature);
    field("pressure", it.pressure);
    field("listening_since_ms", it.listening_since);
}

template <class Field>
void fields(Field& field, Of<alarms::Latest> auto& it) {
    field("value", it.value);
    field("at_ms", it.at);
    field("stale_after_ms", it.stale_after);
}

template <class Field>
void fields(Field& field, Of<annunciation::Annunciated> auto& it) {
    field("alarm", it.alarm);
    field("priority", it.priority);
    field("at_ms", it.at);
    field("heard", it.heard);
    field("first_ms", it.first);
}

template <class Field>
void fields(Field& field, Of<annunciation::Kept> auto& it) {
    field("alarm", it.alarm);
    field("recipient", it.recipient);
    field("priority", it.priority);
    field("at_ms", it.at);
    field("title", it.title);
    field("stands", it.stands);
}

template <class Field>
void fields(Field& field, Of<annunciation::Often> auto& it) {
    field("subject", it.subject);
    field("raised_ms", it.raised);
}

template <class Field>
void fields(Field& field, Of<annunciation::Log> auto& it) {
    field("entries", it.entries);
    field("kept", it.kept);
    field("often", it.often);
}

template <class Field>
void fields(Field& field, Of<base::Cadence> auto& it) {
    field("intervals", it.intervals);
    field("mean_seconds", it.mean_seconds);
    field("last_ms", it.last);
}

template <class Field>
void fields(Field& field, Of<cellar::SensorMemory> auto& it) {
    field("sensor", it.sensor);
    field("last_at_ms", it.last_at);
    field("watched_since_ms", it.watched_since);
    field("cadence", it.cadence);
}

template <class Field>
void fields(Field& field, Of<base::Impairment> auto& it) {
    field("name", it.name);
    field("subject", it.subject);
    field("text", it.text);
    field("since_ms", it.since);
}

template <class Field>
void fields(Field& field, Of<estimation::gas::ReliefHistory> auto& it) {
    field("count", it.count);
    field("first_ms", it.first);
    field("last_ms", it.last);
    field("opens_kpa", it.opens_kpa);
    field("reseats_kpa", it.reseats_kpa);
}

template <class Field>
void fields(Field& field, Of<estimation::gas::ReliefWatch::Memory> auto& it) {
    field("history", it.history);
    field("at_ms", it.at);
    field("kpa", it.kpa);
    field("before_kpa", it.before_kpa);
    field("noise_kpa2", it.noise_kpa2);
    field("peak_kpa", it.peak_kpa);
    field("lowest_kpa", it.lowest_kpa);
    field("peak_at_ms", it.peak_at);
    field("falls", it.falls);
}

template <class Field>
void fields(Field& field, Of<estimation::gas::PurgeWatch::Memory> auto& it) {
    field("at_ms", it.at);
    field("peak_kpa", it.peak_kpa);
    field("peak_at_ms", it.peak_at);
    field("cycles", it.cycles);
    field("first_ms", it.first);
    field("last_ms", it.last);
}

template <class Field>
void fields(Field& field, Of<cellar::PressureMemory> auto& it) {
    field("relief", it.relief);
    field("purge", it.purge);
}

template <class Field>
void fields(Field& field, Of<estimation::trend::TightnessSums> auto& it) {
    field("stage_since_ms", it.stage_since);
    field("first_ms", it.first);
    field("last_counted_ms", it.last_counted);
    field("last_ms", it.last);
    field("first_gas", it.first_gas);
    field("most_gas", it.most_gas);
    field("count", it.count);
    field("hours", it.hours);
    field("hours2", it.hours2);
    field("gas", it.gas);
    field("gas2", it.gas2);
    field("hours_gas", it.hours_gas);
    field("kpa", it.kpa);
    field("celsius", it.celsius);
}

template <class Field>
void fields(Field& field, Of<estimation::trend::LearnedHeat> auto& it) {
    field("edition", it.edition);
    field("heat_ups", it.heat_ups);
    field("losses", it.losses);
    field("heater_kw", it.heater_kw);
    field("log_sigma", it.log_sigma);
    field("loss_w_per_k", it.loss_w_per_k);
}

template <class Field>
void fields(Field& field, Of<cellar::CarbonDioxideHeld> auto& it) {
    field("at_ms", it.at);
    field("gravity_sg", it.gravity_sg);
    field("litres", it.litres);
}

template <class Field>
void fields(Field& field, Of<cellar::Taught> auto& it) {
    field("curve", it.curve);
    field("before", it.before);
}

template <class Field>
void fields(Field& field, Of<cellar::EndedBatch> auto& it) {
    field("record", it.record);
    field("clock", it.clock);
}

template <class Field>
void fields(Field& field, Of<cellar::VesselState> auto& it) {
    field("version", it.version);
    field("vessel", it.vessel);
    field("at_ms", it.at);
    field("stage_clock", it.stage_clock);
    field("ended", it.ended);
    field("taught", it.taught);
    field("last_batch", it.last_batch);
    field("broker_connected", it.broker_connected);
    field("impairments", it.impairments);
    field("alarms", it.alarms);
    field("annunciations", it.annunciations);
    field("sensors", it.sensors);
    field("latest", it.latest);
    field("ambient_kpa", it.ambient_kpa);
    field("unproven_pressure", it.unproven_pressure);
    field("pressure", it.pressure);
    field("tightness", it.tightness);
    field("heat", it.heat);
    field("co2_held", it.co2_held);
    field("uptake", it.uptake);
}

template <class Field>
void fields(Field& field, Of<sensors::Past> auto& it) {
    field("at_ms", it.at);
    field("value", it.value);
}

template <class Field>
void fields(Field& field, Of<sensors::Stillness> auto& it) {
    field("since", it.since);
    field("until_ms", it.until);
    field("run", it.run);
    field("pairs", it.pairs);
    field("repeats", it.repeats);
}

template <class Field>
void fields(Field& field, Of<sensors::OwnClock> auto& it) {
    field("equally_late", it.equally_late);
    field("late_ms", it.late);
    field("first_own_ms", it.first_own);
    field("first_arrived_ms", it.first_arrived);
    field("last_own_ms", it.last_own);
    field("last_arrived_ms", it.last_arrived);
    field("behind_ms", it.behind);
    field("from_ms", it.from);
    field("until_ms", it.until);
    field("ahead_ms", it.ahead);
}

template <class Field>
void fields(Field& field, Of<sensors::Undated> auto& it) {
    field("cadence", it.cadence);
    field("spread_from_ms", it.spread_from);
    field("spread_until_ms", it.spread_until);
}

template <class Field>
void fields(Field& field, Of<sensors::SensorState> auto& it) {
    field("version", it.version);
    field("sensor", it.sensor);
    field("quantity", it.quantity);
    field("latest", it.latest);
    field("last_known", it.last_known);
    field("accepted", it.accepted);
    field("clock_ahead", it.clock_ahead);
    field("rejected", it.rejected);
    field("last_reject", it.last_reject);
    field("available", it.available);
    field("doubted", it.doubted);
    field("power_ups", it.power_ups);
    field("stillness", it.stillness);
    field("own_clock", it.own_clock);
    field("undated", it.undated);
}

std::string to_document(const sensors::SensorState& state) {
    return text_of(as_json(state));
}

sensors::SensorState sensor_state_from(std::string_view document) {
    sensors::SensorState state;
    read(object_from(document), state);
    return state;
}

std::string to_document(const cellar::VesselState& state) {
    return text_of(as_json(state));
}

cellar::VesselState state_from(std::string_view document) {
    cellar::VesselState state;
    read(object_from(document), state);
    if (state.version < 1 || state.version > cellar::VesselState::current_version)
        throw std::runtime_error{"version " + std::to_string(state.version) +
                                 " is not one that this gyled reads"};
    require_our_time("at_ms", state.at);
    return state;
}

}  // namespace gyled::storage
