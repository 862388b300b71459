#include "daemon/storage/batch_document.hpp"

#include <array>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace gyled::storage {
namespace {

using base::Band;
using base::Timestamp;
using batch::HandMeasurement;
using batch::Plan;
using batch::Record;
using batch::StageEnd;
using batch::StagePlan;
using nlohmann::json;

constexpr std::array<std::string_view, 5> end_names{"by_hand", "temperature_reached", "time_in_band",
                                                    "terminal_gravity", "carbonated"};

json ms(Timestamp t) {
    return t.time_since_epoch().count();
}
json pair(const Band& band) {
    return json::array({band.low, band.high});
}

template <class T, class Convert>
void put(json& object, const char* key, const std::optional<T>& value, Convert convert) {
    if (value) object[key] = convert(*value);
}
template <class T>
void put(json& object, const char* key, const std::optional<T>& value) {
    if (value) object[key] = *value;
}

const json* find(const json& object, const char* key) {
    const auto found = object.find(key);
    return found == object.end() || found->is_null() ? nullptr : &*found;
}
std::string text(const json& object, const char* key) {
    const json* found = find(object, key);
    return found ? found->get<std::string>() : std::string{};
}
std::optional<double> number(const json& object, const char* key) {
    const json* found = find(object, key);
    return found ? std::optional{found->get<double>()} : std::nullopt;
}
std::optional<Timestamp> time(const json& object, const char* key) {
    const json* found = find(object, key);
    return found ? std::optional{Timestamp{base::Duration{found->get<long long>()}}} : std::nullopt;
}
std::optional<Band> band(const json& object, const char* key) {
    const json* found = find(object, key);
    return found ? std::optional{Band{found->at(0).get<double>(), found->at(1).get<double>()}} : std::nullopt;
}

/// A word that a later gyled may have written and we do not know is a reason to stop, not to guess.
template <class Named>
auto word(const json& object, const char* key, Named named) {
    const std::string found = text(object, key);
    const auto value = named(found);
    if (!value) throw std::runtime_error{"unknown " + std::string{key} + " '" + found + "'"};
    return *value;
}
std::optional<batch::StageEnd::When> end_named(std::string_view name) {
    for (std::size_t i = 0; i < end_names.size(); ++i)
        if (end_names[i] == name) return static_cast<batch::StageEnd::When>(i);
    return std::nullopt;
}

json stage_document(const batch::StagePlan& stage) {
    json out{{"kind", base::name(stage.kind)}, {"head_space", base::name(stage.head_space)}};
    put(out, "start_ms", stage.start, ms);
    put(out, "temperature_c", stage.temperature_c, pair);
    put(out, "pressure_kpa", stage.pressure_kpa, pair);
    put(out, "head_pressure_kpa", stage.head_pressure_kpa);
    json& end = out["end"] = json{{"when", end_names.at(static_cast<std::size_t>(stage.end.when))}};
    put(end, "temperature_c", stage.end.temperature_c);
    put(end, "duration_ms", stage.end.duration, [](base::Duration d) { return d.count(); });
    return out;
}

batch::StagePlan stage_from(const json& in) {
    batch::StagePlan stage;
    stage.kind = word(in, "kind", base::stage_kind_named);
    stage.head_space = word(in, "head_space", base::head_space_named);
    stage.start = time(in, "start_ms");
    stage.temperature_c = band(in, "temperature_c");
    stage.pressure_kpa = band(in, "pressure_kpa");
    stage.head_pressure_kpa = number(in, "head_pressure_kpa");
    if (const json* end = find(in, "end")) {
        stage.end.when = word(*end, "when", end_named);
        stage.end.temperature_c = number(*end, "temperature_c");
        if (const json* held = find(*end, "duration_ms"))
            stage.end.duration = base::Duration{held->get<long long>()};
    }
    return stage;
}

json plan_document(const batch::Plan& plan) {
    json out{{"name", plan.name},
             {"vessel", plan.vessel},
             {"volume_l", plan.volume_l},
             {"culture", base::name(plan.culture)},
             {"culture_name", plan.culture_name},
             {"stages", json::array()}};
    put(out, "original_gravity", plan.original_gravity);
    put(out, "expected_final_gravity", plan.expected_final_gravity);
    put(out, "target_co2_volumes", plan.target_co2_volumes);
    for (const batch::StagePlan& stage : plan.stages) out["stages"].push_back(stage_document(stage));
    return out;
}

batch::Plan plan_from(const json& in) {
    batch::Plan plan;
    plan.name = text(in, "name");
    plan.vessel = text(in, "vessel");
    plan.volume_l = number(in, "volume_l").value_or(0);
    plan.culture = word(in, "culture", base::culture_named);
    plan.culture_name = text(in, "culture_name");
    plan.original_gravity = number(in, "original_gravity");
    plan.expected_final_gravity = number(in, "expected_final_gravity");
    plan.target_co2_volumes = number(in, "target_co2_volumes");
    for (const json& stage : in.at("stages")) plan.stages.push_back(stage_from(stage));
    return plan;
}

json entered_document(const batch::Record::Entered& entered) {
    json out{{"index", entered.index}, {"at_ms", ms(entered.at)}, {"why", entered.why}};
    put(out, "end_reached_ms", entered.end_reached, ms);
    return out;
}

batch::Record::Entered entered_from(const json& in) {
    return {.index = in.at("index").get<std::size_t>(),
            .at = time(in, "at_ms").value(),
            .why = text(in, "why"),
            .end_reached = time(in, "end_reached_ms")};
}

json measurement_document(const batch::HandMeasurement& by_hand) {
    return {{"quantity", base::name(by_hand.quantity)},
            {"value", by_hand.value},
            {"at_ms", ms(by_hand.at)},
            {"note", by_hand.note}};
}

batch::HandMeasurement measurement_from(const json& in) {
    return {.quantity = word(in, "quantity", base::quantity_named),
            .value = in.at("value").get<double>(),
            .at = time(in, "at_ms").value(),
            .note = text(in, "note")};
}

json fact_document(const estimation::Fact& fact) {
    json out{{"kind", estimation::name(fact.kind)}, {"at_ms", ms(fact.at)}, {"evidence", fact.evidence}};
    if (fact.revoked) {
        out["revoked_ms"] = ms(fact.revoked_at);
        out["revoked_because"] = fact.revoked_because;
    }
    return out;
}

estimation::Fact fact_from(const json& in) {
    estimation::Fact fact;
    fact.kind = word(in, "kind", estimation::fact_kind_named);
    fact.at = time(in, "at_ms").value();
    fact.evidence = text(in, "evidence");
    if (const auto revoked = time(in, "revoked_ms")) {
        fact.revoked = true;
        fact.revoked_at = *revoked;
        fact.revoked_because = text(in, "revoked_because");
    }
    return fact;
}

}  // namespace

std::string to_document(const batch::Record& batch) {
    json out{
        {"id", batch.id},          {"plan", plan_document(batch.plan)}, {"started_ms", ms(batch.started)},
        {"stages", json::array()}, {"measurements", json::array()},     {"facts", json::array()}};
    put(out, "ended_ms", batch.ended, ms);
    for (const batch::Record::Entered& entered : batch.stages)
        out["stages"].push_back(entered_document(entered));
    for (const batch::HandMeasurement& by_hand : batch.measurements)
        out["measurements"].push_back(measurement_document(by_hand));
    for (const estimation::Fact& fact : batch.facts) out["facts"].push_back(fact_document(fact));
    return out.dump(-1, ' ', false, json::error_handler_t::replace);
}

batch::Record from_document(std::string_view document) {
    const json in = json::parse(document);
    batch::Record batch;
    batch.id = text(in, "id");
    batch.plan = plan_from(in.at("plan"));
    batch.started = time(in, "started_ms").value();
    batch.ended = time(in, "ended_ms");
    for (const json& entered : in.at("stages")) batch.stages.push_back(entered_from(entered));
    for (const json& by_hand : in.at("measurements")) batch.measurements.push_back(measurement_from(by_hand));
    for (const json& fact : in.at("facts")) batch.facts.push_back(fact_from(fact));
    return batch;
}

}  // namespace gyled::storage
