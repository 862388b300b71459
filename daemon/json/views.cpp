#include "daemon/json/views.hpp"

#include <algorithm>

#include "daemon/alarms/rules.hpp"
#include "daemon/base/stage_words.hpp"
#include "daemon/base/text.hpp"
#include "daemon/batch/move.hpp"
#include "daemon/batch/plate.hpp"
#include "daemon/display/range.hpp"
#include "daemon/json/inputs.hpp"

namespace gyled::json {
namespace {

using base::Quantity;
using display::Display;

Json band_json(Quantity q, const std::optional<base::Band>& band, const Display& display) {
    if (!band) return nullptr;
    return {
        {"low", number(band->low)},
        {"high", number(band->high)},
        {"unit", base::unit(q)},
        {"text", interval_text(q, band->low, band->high, display) + " " + std::string{display.unit_text(q)}},
        {"display",
         {{"low", number(display.shown(q, band->low))}, {"high", number(display.shown(q, band->high))}}}};
}

Json optional_value(Quantity q, const std::optional<double>& value, const Display& display) {
    return value ? value_json(q, *value, display) : Json(nullptr);
}

std::string_view name(batch::StageEnd::When when) {
    switch (when) {
        case batch::StageEnd::When::temperature_reached:
            return "temperature_reached";
        case batch::StageEnd::When::time_in_band:
            return "time_in_band";
        case batch::StageEnd::When::terminal_gravity:
            return "terminal_gravity";
        case batch::StageEnd::When::carbonated:
            return "carbonated";
        case batch::StageEnd::When::by_hand:
            break;
    }
    return "by_hand";
}

std::string words(const batch::StageEnd& end, const Display& display) {
    switch (end.when) {
        case batch::StageEnd::When::temperature_reached:
            return end.temperature_c ? "at " + display.text(Quantity::beer_temperature, *end.temperature_c)
                                     : "at its temperature";
        case batch::StageEnd::When::time_in_band:
            return end.duration ? "after " + display::duration_text(*end.duration) + " in its band"
                                : "after a time in its band";
        case batch::StageEnd::When::terminal_gravity:
            return "when the gravity has settled";
        case batch::StageEnd::When::carbonated:
            return "when carbonated";
        case batch::StageEnd::When::by_hand:
            break;
    }
    return "when you say so";
}

Json additions_json(const std::vector<batch::Addition>& additions) {
    Json out = Json::array();
    for (const batch::Addition& addition : additions)
        out.push_back({{"what", addition.what},
                       {"before_end_s", static_cast<double>(addition.before_end.count()) / 1000},
                       {"before_end_text", display::duration_text(addition.before_end)}});
    return out;
}

Json countdown_json(const std::optional<cellar::Countdown>& countdown) {
    if (!countdown) return nullptr;
    return {{"kind", cellar::name(countdown->kind)},
            {"text", countdown->text},
            {"detail", countdown->detail},
            {"left_s",
             countdown->left ? Json(static_cast<double>(countdown->left->count()) / 1000) : Json(nullptr)},
            {"due", moment(countdown->due)},
            {"earliest", moment(countdown->earliest)},
            {"latest", moment(countdown->latest)}};
}

Json plan_json(const batch::Plan& plan, const Display& display) {
    return {
        {"volume_l", number(plan.volume_l)},
        {"original_gravity", optional_value(Quantity::gravity, plan.original_gravity, display)},
        {"expected_final_gravity", optional_value(Quantity::gravity, plan.expected_final_gravity, display)},
        {"culture", base::name(plan.culture)},
        {"culture_name", plan.culture_name},
        {"target_co2_volumes", optional_value(Quantity::co2_volumes, plan.target_co2_volumes, display)}};
}

Json facts_json(const std::vector<estimation::Fact>& facts, const Display& display) {
    Json out = Json::array();
    for (const estimation::Fact& fact : facts) out.push_back(fact_json(fact, display));
    return out;
}

/// The stages that were entered, each until the next.
Json entered_json(const batch::Plan& plan, const std::vector<batch::Record::Entered>& all,
                  const Display& display) {
    Json out = Json::array();
    for (const batch::Record::Entered& entered : all) {
        const bool is_planned = entered.index < plan.stages.size();
        out.push_back(
            {{"index", entered.index},
             {"kind", is_planned ? Json(base::name(plan.stages[entered.index].kind)) : Json(nullptr)},
             {"text", is_planned ? Json(base::spoken(plan.stages[entered.index].kind)) : Json(nullptr)},
             {"at", moment(entered.at)},
             {"at_text", display.local(entered.at)},
             {"why", entered.why}});
    }
    return out;
}

Json measurements_json(const std::vector<batch::HandMeasurement>& all, const Display& display) {
    Json out = Json::array();
    for (const batch::HandMeasurement& m : all) {
        Json measurement{{"quantity", base::name(m.quantity)}};
        measurement.update(value_json(m.quantity, m.value, display));
        measurement["at"] = moment(m.at);
        measurement["at_text"] = display.local(m.at);
        measurement["note"] = m.note;
        out.push_back(std::move(measurement));
    }
    return out;
}

Json batch_json(const cellar::BatchView& batch, const Display& display) {
    Json out{{"id", batch.id}, {"name", batch.name}};
    out.update(plan_json(batch.plan, display));
    out["started"] = moment(batch.started);
    out["started_text"] = display.local(batch.started);
    out["stage_index"] = batch.stage_index;
    out["stage_since"] = moment(batch.stage_since);
    out["stage_since_text"] = display.local(batch.stage_since);
    out["next_stage"] = batch.next_stage ? Json(base::name(*batch.next_stage)) : Json(nullptr);
    out["findings"] = findings_json(batch.findings);
    out["stages"] = Json::array();
    for (std::size_t i = 0; i < batch.plan.stages.size(); ++i) {
        Json stage{{"index", i}};
        stage.update(stage_json(batch.plan.stages[i], display));
        stage["state"] = batch::name(batch::state_of(i, batch.entered));
        out["stages"].push_back(std::move(stage));
    }
    out["entered"] = entered_json(batch.plan, batch.entered, display);
    out["measurements"] = measurements_json(batch.measurements, display);
    return out;
}

Json limits_json(const cellar::VesselView& view, const Display& display) {
    const batch::VesselSpec& spec = view.spec;
    const auto pressure = [&](const std::optional<double>& kpa) {
        return optional_value(Quantity::head_pressure, kpa, display);
    };
    Json out{{"total_volume_l", number(spec.total_volume_l)},
             {"pressure", pressure(spec.lowest_limit_kpa())},
             {"working_pressure", pressure(spec.working_pressure_kpa)},
             {"relief_pressure", pressure(spec.relief_pressure_kpa)},
             {"weakest_fitting", pressure(spec.weakest_fitting_kpa)},
             {"vacuum", pressure(spec.vacuum_limit_kpa)},
             {"warmest", value_json(Quantity::beer_temperature, spec.warmest_c, display)},
             {"temperature_band", nullptr},
             {"pressure_band", nullptr}};
    if (view.batch && view.batch->stage_index < view.batch->plan.stages.size()) {
        const batch::StagePlan& stage = view.batch->plan.stages[view.batch->stage_index];
        out["temperature_band"] = band_json(Quantity::beer_temperature, stage.temperature_c, display);
        out["pressure_band"] = band_json(Quantity::head_pressure, batch::bearable_band(stage, spec), display);
    }
    return out;
}

Json latest_json(Quantity q, const alarms::Latest& latest, Timestamp now, const Display& display) {
    Json out = value_json(q, latest.value, display);
    out["at"] = moment(latest.at);
    out["at_text"] = display.local(latest.at);
    out["age_s"] = static_cast<double>(std::max((now - latest.at).count(), base::Duration::rep{0})) / 1000;
    out["stale"] = now - latest.at > latest.stale_after;
    out["stale_after_s"] = static_cast<double>(latest.stale_after.count()) / 1000;
    return out;
}

/// A belief with whether it rests on something old, and on what.
Json belief_json(const cellar::VesselView& view, Quantity q, const base::Estimate& estimate,
                 const Display& display) {
    Json out = estimate_json(q, estimate, display);
    const double half_s = std::max(estimate.high - estimate.value, estimate.value - estimate.low);
    if (base::is_moment(q) && !(half_s <= 3600 * display::told_as_range_h)) {
        out["text"] = display::range_text(display, estimate.low, estimate.high, view.at);
        out["interval"] = "";  // it is the text
    }
    const auto old = stale_input(view, q);
    out["stale"] = old.has_value();
    out["rests_on"] = nullptr;
    if (old)
        out["rests_on"] = {{"quantity", base::name(old->first)},
                           {"text", base::spoken(base::name(old->first))},
                           {"at", moment(old->second.at)},
                           {"at_text", display.local(old->second.at)}};
    return out;
}

}  // namespace

Json stage_json(const batch::StagePlan& stage, const Display& display) {
    return {{"kind", base::name(stage.kind)},
            {"text", base::spoken(stage.kind)},
            {"start", moment(stage.start)},
            {"temperature_band", band_json(Quantity::beer_temperature, stage.temperature_c, display)},
            {"pressure_band", band_json(Quantity::head_pressure, stage.pressure_kpa, display)},
            {"head_space", base::name(stage.head_space)},
            {"head_pressure", optional_value(Quantity::head_pressure, stage.head_pressure_kpa, display)},
            {"additions", additions_json(stage.additions)},
            {"ends", name(stage.end.when)},
            {"ends_text", words(stage.end, display)}};
}

Json findings_json(const batch::Findings& findings) {
    Json out = Json::array();
    for (const batch::Finding& finding : findings)
        out.push_back({{"severity", batch::name(finding.severity)},
                       {"stage", finding.stage ? Json(*finding.stage) : Json(nullptr)},
                       {"key", finding.key},
                       {"text", finding.text},
                       {"fits", number(finding.fits)}});
    return out;
}

Json fact_json(const estimation::Fact& fact, const Display& display) {
    Json out{{"fact", estimation::name(fact.kind)},
             {"at", moment(fact.at)},
             {"at_text", display.local(fact.at)},
             {"evidence", fact.evidence},
             {"revoked", fact.revoked}};
    if (fact.revoked) {
        out["revoked_at"] = moment(fact.revoked_at);
        out["revoked_because"] = fact.revoked_because;
    }
    return out;
}

Json alarm_json(const alarms::Transition& t, const Display& display) {
    return {{"alarm", t.alarm},
            {"vessel", t.vessel},
            {"rule", t.rule},
            {"subject", t.subject},
            {"state", t.state == alarms::AlarmState::normal ? "cleared" : alarms::name(t.state)},
            {"priority", alarms::name(t.priority)},
            {"at", moment(t.at)},
            {"at_text", display.local(t.at)},
            {"raised_at", moment(t.raised_at)},
            {"raised_at_text", display.local(t.raised_at)},
            {"cleared_at", t.state == alarms::AlarmState::normal ? moment(t.at) : Json(nullptr)},
            {"title", t.title},
            {"text", t.text},
            {"first_aid", alarms::first_aid(t)},
            {"first_action", alarms::first_action(alarms::first_aid(t))},
            {"value", number(t.value)},
            {"limit", number(t.limit)}};
}

Json impairments_json(const base::Impairments& impairments, const Display& display) {
    Json out = Json::array();
    for (const base::Impairment& impairment : impairments)
        out.push_back({{"name", impairment.name},
                       {"subject", impairment.subject},
                       {"text", impairment.text},
                       {"first_aid", alarms::first_aid(impairment.name)},
                       {"since", moment(impairment.since)},
                       {"since_text", display.local(impairment.since)}});
    return out;
}

Json standing_json(const std::vector<cellar::StandingAlarm>& alarms, const Display& display) {
    Json out = Json::array();
    for (const cellar::StandingAlarm& alarm : alarms) {
        Json standing = alarm_json(alarm.last, display);
        standing["shelved_until"] = moment(alarm.shelved_until);
        standing["now_text"] = alarm.present_text;
        standing["now_value"] = number(alarm.present_value);
        out.push_back(std::move(standing));
    }
    return out;
}

Json tightness_json(const std::optional<alarms::TightnessFinding>& found, const Display& display) {
    if (!found) return nullptr;
    const auto interval = [](const base::Estimate& e, const char* unit) -> Json {
        return {{"value", number(e.value)}, {"low", number(e.low)}, {"high", number(e.high)}, {"unit", unit}};
    };
    return {{"verdict", alarms::name(found->verdict)},
            {"pressure_loss", interval(found->kpa_per_hour, "kPa/h")},
            {"co2_loss", interval(found->co2_g_per_day, "g/d")},
            {"over_s", static_cast<double>(found->over.count()) / 1000},
            {"text", alarms::tightness_text(*found, display)}};
}

Json vessel_json(const cellar::VesselView& view, const Display& display) {
    Json out{{"id", view.spec.id},
             {"name", view.spec.name.empty() ? view.spec.id : view.spec.name},
             {"at", moment(view.at)},
             {"sentence", view.sentence},
             {"countdown", countdown_json(view.countdown)},
             {"batch", view.batch ? batch_json(*view.batch, display) : Json(nullptr)},
             {"measured", Json::object()},
             {"estimates", Json::object()},
             {"estimates_at", nullptr},
             {"limits", limits_json(view, display)},
             {"tightness", tightness_json(view.tightness, display)},
             {"alarms", standing_json(view.alarms, display)},
             {"facts", Json::array()}};
    for (const auto& [q, latest] : view.latest)
        out["measured"][std::string{base::name(q)}] = latest_json(q, latest, view.at, display);
    for (const auto& [q, estimate] : view.estimates)
        out["estimates"][std::string{base::name(q)}] = belief_json(view, q, estimate, display);
    if (!view.estimates.empty()) out["estimates_at"] = moment(view.estimates_at);
    if (view.batch) out["facts"] = facts_json(view.batch->facts, display);
    return out;
}

Json batch_record_json(const batch::Record& batch, const Display& display) {
    Json out{{"id", batch.id}, {"name", batch.plan.name}, {"vessel", batch.plan.vessel}};
    out.update(plan_json(batch.plan, display));
    out["started"] = moment(batch.started);
    out["started_text"] = display.local(batch.started);
    out["ended"] = moment(batch.ended);
    out["ended_text"] = batch.ended ? Json(display.local(*batch.ended)) : Json(nullptr);
    out["ended_why"] = batch.ended_why;
    out["stages"] = entered_json(batch.plan, batch.stages, display);
    out["measurements"] = measurements_json(batch.measurements, display);
    out["facts"] = facts_json(batch.facts, display);
    return out;
}

Json sensor_json(const sensors::SensorHealth& s, base::Duration silent_after, Timestamp now,
                 const Display& display) {
    Json out{{"id", s.id}, {"vessel", s.vessel}, {"topic", s.topic}, {"quantity", base::name(s.quantity)}};
    out["last"] = nullptr;
    if (s.last_at && s.last_value)
        out["last"] = latest_json(s.quantity, {*s.last_value, *s.last_at, silent_after}, now, display);
    out["last_known"] = optional_value(s.quantity, s.last_known, display);
    out["accepted"] = s.accepted;
    out["rejected"] = s.rejected;
    out["last_reject"] = s.last_reject;
    out["available"] = s.available ? Json(*s.available) : Json(nullptr);
    out["stuck_since"] = moment(s.stuck_since);
    out["stuck_since_text"] = s.stuck_since ? Json(display.local(*s.stuck_since)) : Json(nullptr);
    return out;
}

}  // namespace gyled::json
