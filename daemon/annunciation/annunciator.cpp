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

std::string comes_and_goes(const Policy& policy) {
    return " It comes and goes; you hear of it again once it has stood for " +
           display::duration_text(policy.calm_after) + ", or when it grows critical.";
}

bool has_step_of(const std::vector<Transition>& transitions, const std::string& alarm) {
    return std::any_of(transitions.begin(), transitions.end(),
                       [&](const Transition& step) { return step.alarm == alarm; });
}

}  // namespace

bool is_for(const Notice& notice, const Recipient& recipient) {
    const bool waits = recipient.unacknowledged_for > base::Duration::zero();
    return notice.kind == Notice::Kind::drill || (!waits && notice.priority >= recipient.at_least);
}

struct Annunciator::Moment {
    const std::vector<Occurrence>& standing;
    base::Timestamp now;
};

Annunciator::Annunciator(std::vector<Recipient> recipients, Policy policy, Letterhead letterhead)
    : recipients_{std::move(recipients)}, policy_{policy}, letterhead_{std::move(letterhead)} {}

// The flow: suppress by cause, hold back what is old or chatters, then the notice, to those who want to be
// rung now; for the others it is kept. What is held back stays among the standing, unlogged, and is looked at
// again each time.
std::vector<Notice> Annunciator::annunciate(std::vector<Transition>& transitions,
                                            const std::vector<Occurrence>& standing, base::Timestamp now) {
    const Moment moment{standing, now};
    std::vector<Notice> notices;
    for (Transition& step : transitions) {
        if (step.state == AlarmState::raised) note_raise(step), take_raise(step, moment, notices);
        if (step.state == AlarmState::normal) take_return(step, moment, notices);
    }
    take_late(transitions, moment, notices);
    take_unacknowledged(moment, notices);
    take_kept(now, notices);
    return notices;
}

void Annunciator::take_raise(Transition& step, const Moment& moment, std::vector<Notice>& notices) {
    if (is_suppressed(step, moment) || is_old(step, moment) || is_chattering(step, moment)) return;
    step.annunciated = true;
    Annunciated& entry = note(step);
    Notice notice = address(notice_of(step, letterhead_));
    if (times_of_late(step) == policy_.often) notice.text += comes_and_goes(policy_);
    for (const std::string& name : notice.recipients)
        if (std::ranges::count(entry.heard, name) == 0) entry.heard.push_back(name);
    notices.push_back(std::move(notice));
}

/// However old its evidence is: whoever heard the beginning would otherwise believe that it stands.
void Annunciator::take_return(Transition& step, const Moment& moment, std::vector<Notice>& notices) {
    const Annunciated* entry = find(step.alarm);
    if (entry == nullptr || only_closes_information(step)) return;
    Notice notice = notice_of(step, letterhead_);
    notice.priority = entry->priority;
    const std::vector<std::string> heard = entry->heard;
    forget(step.alarm);
    if (alarms::is_information(step.rule) && is_suppressed(step, moment)) return;
    step.annunciated = true;
    for (const Recipient& recipient : recipients_) {
        if (drop_kept(recipient, step.alarm)) continue;  // the beginning has not reached it
        if (heard.empty() ? is_for(notice, recipient) : std::ranges::count(heard, recipient.name) > 0)
            hand_to(recipient, notice);
    }
    notices.push_back(std::move(notice));
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

/// A critical one that stands and that nobody has acknowledged: again, and to those who wait for that.
void Annunciator::take_unacknowledged(const Moment& moment, std::vector<Notice>& notices) {
    for (const Occurrence& occurrence : moment.standing) {
        Annunciated* entry = find(occurrence.last.alarm);
        if (entry == nullptr || occurrence.state != AlarmState::raised ||
            occurrence.last.priority != alarms::Priority::critical || occurrence.present.title.empty())
            continue;
        Notice notice = again_notice(occurrence.last, occurrence.present.text, moment.now, letterhead_);
        const bool is_due = moment.now - entry->at >= policy_.repeat_every;
        for (const Recipient& recipient : recipients_) {
            const bool has_heard = std::ranges::count(entry->heard, recipient.name) > 0;
            const bool waited = recipient.unacknowledged_for > base::Duration::zero() &&
                                moment.now - entry->first >= recipient.unacknowledged_for;
            if (has_heard ? !is_due : !waited) continue;
            notice.recipients.push_back(recipient.name);
            if (!has_heard) entry->heard.push_back(recipient.name);
        }
        if (is_due) entry->at = moment.now;
        if (!notice.recipients.empty()) notices.push_back(std::move(notice));
    }
}

void Annunciator::take_kept(base::Timestamp now, std::vector<Notice>& notices) {
    for (const Recipient& recipient : recipients_) {
        if (recipient.quiet && is_quiet(*recipient.quiet, now, letterhead_.display)) continue;
        std::vector<Kept> kept;
        for (const Kept& each : log_.kept)
            if (each.recipient == recipient.name) kept.push_back(each);
        if (kept.empty()) continue;
        std::erase_if(log_.kept, [&](const Kept& each) { return each.recipient == recipient.name; });
        for (const Kept& each : kept)
            if (Annunciated* entry = find(each.alarm); each.stands && entry != nullptr)
                entry->heard.push_back(recipient.name);
        const std::string vessel{kept.front().alarm.substr(0, kept.front().alarm.find('/'))};
        notices.push_back(digest_notice(vessel, kept, now, letterhead_));
    }
}

bool Annunciator::is_suppressed(const Transition& step, const Moment& moment) const {
    return std::any_of(moment.standing.begin(), moment.standing.end(), [&](const Occurrence& other) {
        return explains(other, step) || (fell_silent_with(other, step) && has_rung(other.last.alarm));
    });
}

bool Annunciator::is_old(const Transition& step, const Moment& moment) const {
    const auto most = alarms::is_information(step.rule) ? policy_.news_after : policy_.old_after;
    return moment.now - step.evidence_at > most;
}

/// Told four times within the hour, it is not told a fifth time before it has stood for a while.
bool Annunciator::is_chattering(const Transition& step, const Moment& moment) const {
    if (step.priority == alarms::Priority::critical || times_of_late(step) <= policy_.often) return false;
    const auto found = std::ranges::find(log_.often, subject_of(step.alarm), &Often::subject);
    return moment.now - found->raised.back() < policy_.calm_after;
}

std::size_t Annunciator::times_of_late(const Transition& step) const {
    const auto found = std::ranges::find(log_.often, subject_of(step.alarm), &Often::subject);
    return found == log_.often.end() ? 0 : found->raised.size();
}

Notice Annunciator::address(Notice notice) {
    for (const Recipient& recipient : recipients_)
        if (is_for(notice, recipient)) hand_to(recipient, notice);
    return notice;
}

/// Now, or when its quiet hours end.
void Annunciator::hand_to(const Recipient& recipient, Notice& notice) {
    if (is_kept_from(recipient, notice))
        keep(recipient, notice);
    else
        notice.recipients.push_back(recipient.name);
}

bool Annunciator::drop_kept(const Recipient& recipient, const std::string& alarm) {
    return std::erase_if(log_.kept, [&](const Kept& each) {
               return each.alarm == alarm && each.recipient == recipient.name;
           }) > 0;
}

/// What is critical rings at any hour, and a drill is asked for.
bool Annunciator::is_kept_from(const Recipient& recipient, const Notice& notice) const {
    return recipient.quiet && notice.priority != alarms::Priority::critical &&
           notice.kind != Notice::Kind::drill && is_quiet(*recipient.quiet, notice.at, letterhead_.display);
}

void Annunciator::keep(const Recipient& recipient, const Notice& notice) {
    const bool stands = notice.kind == Notice::Kind::raised;
    drop_kept(recipient, notice.thread);
    log_.kept.push_back({notice.thread, recipient.name, notice.priority, notice.at, notice.title, stands});
    const auto of_this = std::ranges::count(log_.kept, recipient.name, &Kept::recipient);
    if (static_cast<std::size_t>(of_this) > policy_.kept_most)
        log_.kept.erase(std::ranges::find(log_.kept, recipient.name, &Kept::recipient));
}

// ---- the log

bool Annunciator::has_rung(const std::string& alarm) const {
    return std::ranges::count(log_.entries, alarm, &Annunciated::alarm) > 0;
}

Annunciated* Annunciator::find(const std::string& alarm) {
    const auto found = std::find_if(log_.entries.begin(), log_.entries.end(),
                                    [&](const Annunciated& entry) { return entry.alarm == alarm; });
    return found == log_.entries.end() ? nullptr : &*found;
}

/// An older occurrence of the same subject is over, even where nobody said so (information of a batch that
/// has ended): so the log stays bounded.
Annunciated& Annunciator::note(const Transition& step) {
    Annunciated entry{step.alarm, step.priority, step.at, {}, step.at};
    if (const Annunciated* before = find(step.alarm)) {
        entry.priority = std::max(entry.priority, before->priority);
        entry.heard = before->heard;
        if (before->priority == entry.priority) entry.first = before->first;
    }
    std::erase_if(log_.entries, [&](const Annunciated& other) {
        return subject_of(other.alarm) == subject_of(step.alarm);
    });
    return log_.entries.emplace_back(std::move(entry));
}

/// Of the last hour, whether it is told or not.
void Annunciator::note_raise(const Transition& step) {
    if (alarms::is_information(step.rule) || step.at != step.raised_at) return;
    for (Often& each : log_.often)
        std::erase_if(each.raised, [&](Timestamp at) { return step.at - at > policy_.often_within; });
    std::erase_if(log_.often, [](const Often& each) { return each.raised.empty(); });
    const std::string subject{subject_of(step.alarm)};
    auto found = std::ranges::find(log_.often, subject, &Often::subject);
    if (found == log_.often.end()) found = log_.often.insert(found, {subject, {}});
    found->raised.push_back(step.at);
    if (found->raised.size() > policy_.often + 1) found->raised.erase(found->raised.begin());
}

void Annunciator::set_clock(const base::ClockSet& set) {
    for (Annunciated& entry : log_.entries) set.rename(entry.at), set.rename(entry.first);
    for (Kept& kept : log_.kept) set.rename(kept.at);
    for (Often& often : log_.often)
        for (Timestamp& at : often.raised) set.rename(at);
}

void Annunciator::forget(const std::string& alarm) {
    std::erase_if(log_.entries, [&](const Annunciated& entry) { return entry.alarm == alarm; });
}

Log log_from(const std::vector<Transition>& standing) {
    Log log;
    for (const Transition& step : standing)
        if (step.annunciated || step.state != AlarmState::raised)  // a person acted on it: they know
            log.entries.push_back({step.alarm, step.priority, step.at, {}, step.at});
    return log;
}

}  // namespace gyled::annunciation
