#include "daemon/alarms/panel.hpp"

#include <algorithm>
#include <map>

#include "daemon/alarms/approach.hpp"
#include "daemon/alarms/life.hpp"
#include "daemon/alarms/progress.hpp"
#include "daemon/base/text.hpp"

namespace gyled::alarms {
namespace {

bool is_more_urgent(const Occurrence& a, const Occurrence& b) {
    if (a.last.priority != b.last.priority) return a.last.priority > b.last.priority;
    if (a.last.raised_at != b.last.raised_at) return a.last.raised_at < b.last.raised_at;
    return a.last.alarm < b.last.alarm;
}

bool is_normal(const Occurrence& occurrence) {
    return occurrence.state == AlarmState::normal;
}

/// Without the time: what guards people, what a person has set for a value, and the watch itself.
bool can_be_judged(const RuleInUse& rule, const Situation& now) {
    const Rule& is = *rule.rule;
    const bool is_of_the_watch = is.about == Rule::About::watch || is.about == Rule::About::each_impairment;
    return now.time_is_known || is.info.safety || is_of_the_watch || &is == &own_threshold_rule();
}

/// A person's silence is for what they see: pressure that was let off and comes back is told again.
void hold_at_present_step(Occurrence& occurrence) {
    occurrence.step = std::min(occurrence.step, occurrence.present.step);
}

}  // namespace

AlarmPanel::AlarmPanel(std::string vessel, const std::vector<RuleTuning>& tunings, display::Display display)
    : vessel_{std::move(vessel)}, display_{std::move(display)}, rules_{rules_in_use(vessel_, tunings)} {}

const RuleInUse* AlarmPanel::rule_named(std::string_view name) const {
    const auto found =
        std::find_if(rules_.begin(), rules_.end(), [&](const RuleInUse& rule) { return rule.name == name; });
    return found == rules_.end() ? nullptr : &*found;
}

Occurrence* AlarmPanel::find(std::string_view rule, std::string_view subject) {
    for (Occurrence& occurrence : state_.occurrences)
        if (occurrence.last.rule == rule && occurrence.last.subject == subject) return &occurrence;
    return nullptr;
}

// ---- evaluation

bool AlarmPanel::was_raised_in_stage(std::string_view rule, const Situation& now) {
    const Occurrence* occurrence = find(rule, "");
    return occurrence != nullptr && now.stage_since && is_standing(occurrence->state) &&
           occurrence->last.raised_at >= *now.stage_since;
}

EvaluationInput AlarmPanel::input_for(const Situation& now) {
    if (!now.broker_connected)
        state_.listening_since.reset();
    else if (!state_.listening_since)
        state_.listening_since = now.at;
    return {.now = now,
            .listening_since = state_.listening_since.value_or(now.at),
            .temperature_is_on_its_way = temperature_is_on_its_way(
                state_.temperature, now, was_raised_in_stage("temperature_out_of_band", now)),
            .pressure_is_on_its_way = pressure_is_on_its_way(
                state_.pressure, now, was_raised_in_stage("pressure_out_of_band", now))};
}

std::vector<Transition> AlarmPanel::evaluate(const Situation& now) {
    std::vector<Transition> steps;
    const EvaluationInput input = input_for(now);
    for (const RuleInUse& rule : rules_) {
        if (rule.rule->about == Rule::About::each_sensor)
            evaluate_each_sensor(rule, input, steps);
        else if (rule.rule->about == Rule::About::each_impairment)
            evaluate_each_impairment(rule, input, steps);
        else
            evaluate(rule, input, steps);
    }
    end_what_is_no_longer_watched(now, steps);
    std::erase_if(state_.occurrences, is_normal);
    return steps;
}

void AlarmPanel::evaluate_each_sensor(const RuleInUse& rule, EvaluationInput input,
                                      std::vector<Transition>& steps) {
    for (const SensorSilence& sensor : input.now.sensors) {
        input.sensor = &sensor;
        input.subject = sensor.sensor;
        evaluate(rule, input, steps);
    }
}

/// Those that are so now, and those that were and are no more.
void AlarmPanel::evaluate_each_impairment(const RuleInUse& rule, EvaluationInput input,
                                          std::vector<Transition>& steps) {
    std::map<std::string, const base::Impairment*> subjects;
    for (const Occurrence& occurrence : state_.occurrences)
        if (occurrence.last.rule == rule.name) subjects[occurrence.last.subject] = nullptr;
    for (const base::Impairment& impairment : input.now.impairments)
        if (impairment.name == rule.name) subjects[impairment.subject] = &impairment;
    for (const auto& [subject, impairment] : subjects) {
        input.subject = subject;
        input.impairment = impairment;
        evaluate(rule, input, steps);
    }
}

void AlarmPanel::evaluate(const RuleInUse& rule, const EvaluationInput& untuned,
                          std::vector<Transition>& steps) {
    const EvaluationInput input = rule.tuned(untuned);
    const Evaluation evaluation = can_be_judged(rule, input.now) ? rule.rule->evaluate(input) : Evaluation{};
    Occurrence* occurrence = find(rule.name, input.subject);
    if (occurrence == nullptr) {
        if (evaluation.condition != Condition::beyond) return;
        occurrence = &state_.occurrences.emplace_back();
        occurrence->last.vessel = vessel_;
        occurrence->last.rule = rule.name;
        occurrence->last.subject = input.subject;
    }
    Progress{*occurrence, rule, input, evaluation, display_, steps}.run();
}

/// The configuration has another rule or another sensor than the one that raised it.
bool AlarmPanel::is_watched(const Occurrence& occurrence, const Situation& now) const {
    const RuleInUse* rule = rule_named(occurrence.last.rule);
    if (rule == nullptr) return false;
    if (rule->rule->about == Rule::About::each_impairment) return true;
    if (rule->rule->about != Rule::About::each_sensor) return occurrence.last.subject.empty();
    return std::any_of(now.sensors.begin(), now.sensors.end(),
                       [&](const SensorSilence& sensor) { return sensor.sensor == occurrence.last.subject; });
}

void AlarmPanel::end_what_is_no_longer_watched(const Situation& now, std::vector<Transition>& steps) {
    for (Occurrence& occurrence : state_.occurrences) {
        if (is_normal(occurrence) || is_watched(occurrence, now)) continue;
        const bool stood = is_standing(occurrence.state);
        occurrence.state = AlarmState::normal;
        if (!stood) continue;
        Transition& last = occurrence.last;
        last.state = AlarmState::normal;
        last.at = last.evidence_at = now.at;
        last.title = base::headline(base::spoken(last.rule), " is no longer watched");
        last.text = "The configuration has no such alarm any more.";
        steps.push_back(last);
    }
}

// ---- a person's words

Occurrence* AlarmPanel::standing_with_id(const std::string& alarm) {
    for (Occurrence& occurrence : state_.occurrences)
        if (is_standing(occurrence.state) && occurrence.last.alarm == alarm) {
            const RuleInUse* rule = rule_named(occurrence.last.rule);
            return rule != nullptr && rule->rule->information ? nullptr : &occurrence;
        }
    return nullptr;
}

base::Result<Transition, std::string> AlarmPanel::acknowledge(const std::string& alarm, Timestamp at) {
    Occurrence* occurrence = standing_with_id(alarm);
    if (occurrence == nullptr) return base::Unexpected{"no alarm '" + alarm + "' stands"};
    Transition& last = occurrence->last;
    const Row row = step(occurrence->state, Event::acknowledged);
    if (row.action != Action::record || occurrence->acknowledged)
        return base::Unexpected{"'" + alarm + "' is " + std::string(name(last.state)) + " already"};
    occurrence->state = row.to;
    occurrence->acknowledged = true;
    hold_at_present_step(*occurrence);
    last.state = AlarmState::acknowledged;
    last.at = at;
    return last;
}

base::Result<Transition, std::string> AlarmPanel::shelve(const std::string& alarm, Timestamp at,
                                                         Timestamp until, const std::string& reason) {
    Occurrence* occurrence = standing_with_id(alarm);
    if (occurrence == nullptr) return base::Unexpected{"no alarm '" + alarm + "' stands"};
    Transition& last = occurrence->last;
    const RuleInUse* rule = rule_named(last.rule);
    const bool safety = rule != nullptr && rule->rule->info.safety;
    if (until <= at) return base::Unexpected{std::string{"the end must lie after the beginning"}};
    const Duration longest = safety ? shelving_.safety_longest : shelving_.longest;
    if (until - at > longest)
        return base::Unexpected{"'" + last.rule + "' may be shelved for at most " +
                                display::duration_text(longest)};
    occurrence->state = step(occurrence->state, Event::shelved).to;
    occurrence->since = at;
    occurrence->shelved_until = until;
    hold_at_present_step(*occurrence);
    last.state = AlarmState::shelved;
    last.at = at;
    last.text = "Shelved until " + display_.local(until) + (reason.empty() ? "" : " (" + reason + ")") + ".";
    return last;
}

// ---- memory

std::vector<Occurrence> AlarmPanel::standing() const {
    std::vector<Occurrence> out;
    for (const Occurrence& occurrence : state_.occurrences) {
        const RuleInUse* rule = rule_named(occurrence.last.rule);
        const bool information = rule != nullptr && rule->rule->information;
        if (is_standing(occurrence.state) && !information) out.push_back(occurrence);
    }
    std::sort(out.begin(), out.end(), is_more_urgent);
    return out;
}

void AlarmPanel::restore(PanelState state) {
    std::vector<Occurrence> saved;
    saved.swap(state.occurrences);
    state_ = std::move(state);
    for (Occurrence& occurrence : saved) {
        if (occurrence.last.vessel != vessel_ || is_normal(occurrence)) continue;
        if (Occurrence* known = find(occurrence.last.rule, occurrence.last.subject))
            *known = std::move(occurrence);
        else
            state_.occurrences.push_back(std::move(occurrence));
    }
}

}  // namespace gyled::alarms
