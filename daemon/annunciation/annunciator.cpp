#include "daemon/annunciation/annunciator.hpp"

#include <algorithm>

#include "daemon/alarms/rules.hpp"

namespace gyled::annunciation {
namespace {

using alarms::AlarmState;
using alarms::Occurrence;
using alarms::Transition;

/// Vessel, rule and subject of an occurrence: its id without the moment.
std::string_view subject_of(std::string_view alarm) {
    return alarm.substr(0, alarm.rfind('/'));
}

/// Information opens and closes in one moment: this is the second of the two steps.
bool only_closes_information(const Transition& step) {
    return alarms::is_information(step.rule) && step.at == step.raised_at;
}

bool explains(const Occurrence& cause, const Transition& step) {
    return alarms::explains(cause.last.rule, step.rule) && cause.last.priority >= step.priority;
}

/// Sensors that fell silent at one moment are one device or one network.
bool fell_silent_with(const Occurrence& other, const Transition& step) {
    return alarms::is_about_each_sensor(step.rule) && other.last.rule == step.rule &&
           other.last.raised_at == step.raised_at && other.last.alarm != step.alarm;
}

/// The step that a late annunciation is: raised, as it stands now.
Transition raised_now(const Occurrence& occurrence, base::Timestamp now) {
    Transition step = occurrence.last;
    step.at = now;
    step.evidence_at = occurrence.present.evidence_at;
    step.value = occurrence.present.value;
    step.title = occurrence.present.title;
    step.text = occurrence.present.text;
    return step;
}

bool has_step_of(const std::vector<Transition>& transitions, const std::string& alarm) {
    return std::any_of(transitions.begin(), transitions.end(),
                       [&](const Transition& step) { return step.alarm == alarm; });
}

}  // namespace

bool is_for(const Notice& notice, const Recipient& recipient) {
    return notice.kind == Notice::Kind::drill || notice.priority >= recipient.at_least;
}

struct Annunciator::Moment {
    const std::vector<Occurrence>& standing;
    base::Timestamp now;
};

Annunciator::Annunciator(std::vector<Recipient> recipients, Policy policy, Letterhead letterhead)
    : recipients_{std::move(recipients)}, policy_{policy}, letterhead_{std::move(letterhead)} {}

// The flow: suppress by cause, hold back what is old, then the notice. What is held back stays among the
// standing, unlogged, and is looked at again each time. Grouping and muting belong between the two, repeats
// and escalation where the late ones are taken.
std::vector<Notice> Annunciator::annunciate(std::vector<Transition>& transitions,
                                            const std::vector<Occurrence>& standing, base::Timestamp now) {
    const Moment moment{standing, now};
    std::vector<Notice> notices;
    for (Transition& step : transitions) {
        if (step.state == AlarmState::raised) take_raise(step, moment, notices);
        if (step.state == AlarmState::normal) take_return(step, moment, notices);
    }
    take_late(transitions, moment, notices);
    return notices;
}

void Annunciator::take_raise(Transition& step, const Moment& moment, std::vector<Notice>& notices) {
    if (is_suppressed(step, moment) || is_old(step, moment)) return;
    step.annunciated = true;
    note(step);
    notices.push_back(address(notice_of(step, letterhead_)));
}

/// However old its evidence is: whoever heard the beginning would otherwise believe that it stands.
void Annunciator::take_return(Transition& step, const Moment& moment, std::vector<Notice>& notices) {
    const Annunciated* heard = find(step.alarm);
    if (heard == nullptr || only_closes_information(step)) return;
    Notice notice = notice_of(step, letterhead_);
    notice.priority = heard->priority;
    forget(step.alarm);
    if (alarms::is_information(step.rule) && is_suppressed(step, moment)) return;
    step.annunciated = true;
    notices.push_back(address(std::move(notice)));
}

void Annunciator::take_late(std::vector<Transition>& transitions, const Moment& moment,
                            std::vector<Notice>& notices) {
    for (const Occurrence& occurrence : moment.standing) {
        const std::string& alarm = occurrence.last.alarm;
        if (occurrence.state != AlarmState::raised || occurrence.present.title.empty()) continue;
        if (find(alarm) != nullptr || has_step_of(transitions, alarm)) continue;
        Transition step = raised_now(occurrence, moment.now);
        take_raise(step, moment, notices);
        if (step.annunciated) transitions.push_back(std::move(step));
    }
}

bool Annunciator::is_suppressed(const Transition& step, const Moment& moment) const {
    return std::any_of(moment.standing.begin(), moment.standing.end(), [&](const Occurrence& other) {
        return explains(other, step) || (fell_silent_with(other, step) && find(other.last.alarm) != nullptr);
    });
}

bool Annunciator::is_old(const Transition& step, const Moment& moment) const {
    const auto most = alarms::is_information(step.rule) ? policy_.news_after : policy_.old_after;
    return moment.now - step.evidence_at > most;
}

Notice Annunciator::address(Notice notice) const {
    for (const Recipient& recipient : recipients_)
        if (is_for(notice, recipient)) notice.recipients.push_back(recipient.name);
    return notice;
}

// ---- the log

const Annunciated* Annunciator::find(const std::string& alarm) const {
    const auto found = std::find_if(log_.entries.begin(), log_.entries.end(),
                                    [&](const Annunciated& entry) { return entry.alarm == alarm; });
    return found == log_.entries.end() ? nullptr : &*found;
}

/// An older occurrence of the same subject is over, even where nobody said so (information of a batch that
/// has ended): so the log stays bounded.
void Annunciator::note(const Transition& step) {
    Annunciated entry{step.alarm, step.priority, step.at};
    if (const Annunciated* before = find(step.alarm))
        entry.priority = std::max(entry.priority, before->priority);
    std::erase_if(log_.entries, [&](const Annunciated& other) {
        return subject_of(other.alarm) == subject_of(step.alarm);
    });
    log_.entries.push_back(std::move(entry));
}

void Annunciator::forget(const std::string& alarm) {
    std::erase_if(log_.entries, [&](const Annunciated& entry) { return entry.alarm == alarm; });
}

Log log_from(const std::vector<Transition>& standing) {
    Log log;
    for (const Transition& step : standing)
        if (step.annunciated || step.state != AlarmState::raised)  // a person acted on it: they know
            log.entries.push_back({step.alarm, step.priority, step.at});
    return log;
}

}  // namespace gyled::annunciation
