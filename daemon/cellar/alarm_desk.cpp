#include "daemon/cellar/alarm_desk.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

namespace gyled::cellar {
namespace {

base::Result<bool, std::string> taken(base::Result<alarms::Transition, std::string>&& done,
                                      Effects& effects) {
    if (!done) return base::Unexpected{done.error()};
    effects.transitions.push_back(std::move(done).value());
    return true;
}

}  // namespace

AlarmDesk::AlarmDesk(const std::string& vessel, const CellarSpec& spec)
    : panel_{vessel, spec.rules, spec.display},
      annunciator_{spec.recipients, spec.annunciation, {spec.site, spec.display}} {}

void AlarmDesk::evaluate(const alarms::Situation& situation, Effects& effects) {
    auto transitions = panel_.evaluate(situation);
    auto notices = annunciator_.annunciate(transitions, panel_.standing(), situation.at);
    std::move(transitions.begin(), transitions.end(), std::back_inserter(effects.transitions));
    std::move(notices.begin(), notices.end(), std::back_inserter(effects.notices));
}

bool AlarmDesk::stands(const std::string& alarm) const {
    const auto standing = panel_.standing();
    return std::any_of(standing.begin(), standing.end(),
                       [&](const auto& one) { return one.last.alarm == alarm; });
}

base::Result<bool, std::string> AlarmDesk::acknowledge(const Acknowledge& command, Effects& effects) {
    return taken(panel_.acknowledge(command.alarm, command.at), effects);
}

base::Result<bool, std::string> AlarmDesk::shelve(const Shelve& command, Effects& effects) {
    return taken(panel_.shelve(command.alarm, command.at, command.until, command.reason), effects);
}

void AlarmDesk::tell(annunciation::Notice notice, Effects& effects) {
    effects.notices.push_back(annunciator_.address(std::move(notice)));
}

void AlarmDesk::listen_from(Timestamp now) {
    alarms::PanelState state = panel_.state();
    if (state.listening_since) state.listening_since = now;
    panel_.restore(std::move(state));
}

void AlarmDesk::set_clock(const base::ClockSet& set, const StageSince& stage) {
    alarms::PanelState state = panel_.state();
    for (alarms::Occurrence& occurrence : state.occurrences) {
        set.rename(occurrence.since);
        set.rename(occurrence.breached_since);
        set.rename(occurrence.shelved_until);
        set.rename(occurrence.present.evidence_at);
        set.rename(occurrence.last.evidence_at);
        occurrence.last.at = set.corrected(occurrence.last.at);
        occurrence.last.raised_at = set.corrected(occurrence.last.raised_at);
    }
    for (alarms::ApproachState* approach : {&state.temperature, &state.pressure})
        if (approach->stage_since == stage.before) approach->stage_since = stage.after;
    set.rename(state.listening_since);
    annunciator_.set_clock(set);
    panel_.restore(std::move(state));
}

void AlarmDesk::save(VesselState& state) const {
    state.alarms = panel_.state();
    state.annunciations = annunciator_.log();
}

void AlarmDesk::restore(const VesselState& state) {
    panel_.restore(state.alarms);
    annunciator_.restore(state.annunciations);
}

}  // namespace gyled::cellar
