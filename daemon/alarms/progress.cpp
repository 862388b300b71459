#include "daemon/alarms/progress.hpp"

#include <algorithm>

#include "daemon/alarms/messages.hpp"

namespace gyled::alarms {
namespace {

constexpr AcknowledgementParameters acknowledgement;

std::string id_of(const Transition& alarm) {
    std::string id = (alarm.vessel.empty() ? "watch" : alarm.vessel) + "/" + alarm.rule;
    if (!alarm.subject.empty()) id += "/" + alarm.subject;
    // Milliseconds: without delays the limit may be passed several times in one second.
    return id + "/" + std::to_string(alarm.raised_at.time_since_epoch().count());
}

}  // namespace

Progress::Progress(Occurrence& occurrence, const RuleInUse& rule, const EvaluationInput& input,
                   const Evaluation& evaluation, const display::Display& display,
                   std::vector<Transition>& steps)
    : occurrence_{occurrence},
      rule_{rule},
      input_{input},
      evaluation_{evaluation},
      display_{display},
      steps_{steps} {}

void Progress::run() {
    end_shelf();
    switch (evaluation_.condition) {
        case Condition::unknown:
            return;
        case Condition::not_applicable:
            return happen(Event::not_applicable);
        case Condition::eased:  // what slows may go on to worse
            note_extreme();
            happen(Event::eased);
            break;
        case Condition::within:
            run_while_within();
            break;
        case Condition::beyond:
            run_while_beyond();
            break;
    }
    if (is_standing(occurrence_.state)) occurrence_.present = present_of(occurrence_, rule_, context());
}

void Progress::end_shelf() {
    if (!occurrence_.shelved_until || input_.now.at < *occurrence_.shelved_until) return;
    if (evaluation_.condition == Condition::not_applicable) return;
    happen(evaluation_.condition == Condition::within ? Event::lapsed : Event::unshelved);
}

void Progress::run_while_within() {
    happen(Event::returned);
    if (occurrence_.state == AlarmState::returning && has_run(rule_.off_delay)) happen(Event::settled);
}

void Progress::run_while_beyond() {
    note_extreme();
    happen(Event::breached);
    if (occurrence_.state == AlarmState::pending && is_held()) happen(Event::held);
    if (rule_.rule->escalates && is_standing(occurrence_.state) && is_worse()) happen(Event::worsened);
    end_acknowledgement();
}

/// The last step that was taken of an acknowledged one is its acknowledgement.
void Progress::end_acknowledgement() {
    if (occurrence_.state == AlarmState::acknowledged &&
        input_.now.at - occurrence_.last.at >= acknowledgement.lasts)
        happen(Event::expired);
}

/// Than the step that people know of, whatever they did about it.
bool Progress::is_worse() const {
    return evaluation_.step > occurrence_.step || rule_.priority_of(evaluation_) > occurrence_.last.priority;
}

/// The on-delay has run and a further reading agrees. A lone one is believed after twice the delay: a slow
/// sensor's single wild value stands until its next reading, and must not be raised while that is due.
bool Progress::is_held() const {
    const Duration delay = rule_.on_delay_in(input_.now.stage);
    if (!has_run(delay)) return false;
    return delay == Duration{} || evidence_time() > occurrence_.since || has_run(2 * delay);
}

void Progress::note_extreme() {
    if (!evaluation_.value) return;
    const double before = occurrence_.worst.value_or(*evaluation_.value);
    occurrence_.worst =
        evaluation_.low_side ? std::min(before, *evaluation_.value) : std::max(before, *evaluation_.value);
}

void Progress::happen(Event event) {
    const Row row = step(occurrence_.state, event);
    if (row.to != occurrence_.state) enter(row.to);
    switch (row.action) {
        case Action::none:
        case Action::record:  // a person's step: the panel takes it
            return;
        case Action::resume:
            if (occurrence_.acknowledged) occurrence_.state = AlarmState::acknowledged;
            return;
        case Action::raise:
            return raise();
        case Action::clear:
            return clear(event != Event::not_applicable);
    }
}

void Progress::enter(AlarmState state) {
    if (occurrence_.state == AlarmState::normal) occurrence_.breached_since = evidence_time();
    if (occurrence_.state == AlarmState::shelved) occurrence_.shelved_until.reset();
    occurrence_.state = state;
    occurrence_.since = evidence_time();
}

void Progress::raise() {
    Transition& last = occurrence_.last;
    if (last.alarm.empty()) {
        last.raised_at = input_.now.at;
        last.alarm = id_of(last);
        occurrence_.raised_value = evaluation_.value;
    }
    occurrence_.acknowledged = false;
    if (evaluation_.condition == Condition::beyond)
        describe_breach();
    else if (!occurrence_.present.text.empty())  // unshelved while nobody knows: as it stood last
        last.text = occurrence_.present.text;
    step_to(AlarmState::raised);
    if (rule_.rule->information) step_to(AlarmState::normal);
}

void Progress::describe_breach() {
    Message message = rule_.rule->raised(context());
    Transition& last = occurrence_.last;
    occurrence_.step = evaluation_.step;
    last.priority = rule_.priority_of(evaluation_);
    last.value = evaluation_.value;
    last.limit = evaluation_.limit;
    last.evidence_at = evaluation_.at;
    last.title = std::move(message.title);
    last.text = std::move(message.text);
    last.first_aid = rule_.rule->first_aid_now == nullptr ? "" : rule_.rule->first_aid_now(context());
}

void Progress::clear(bool applies) {
    // Its batch has ended: the information was right in its time, there is nothing to revoke.
    if (!applies && rule_.rule->information) return;
    Message message = applies ? returned_message(rule_, context()) : not_applicable_message(rule_, input_);
    Transition& last = occurrence_.last;
    if (evaluation_.value) last.value = evaluation_.value;
    last.evidence_at = applies ? evaluation_.at : input_.now.at;
    last.title = std::move(message.title);
    last.text = std::move(message.text);
    step_to(AlarmState::normal);
}

void Progress::step_to(AlarmState state) {
    if (input_.now.batch_name) occurrence_.last.batch = *input_.now.batch_name;
    occurrence_.last.state = state;
    occurrence_.last.at = input_.now.at;
    steps_.push_back(occurrence_.last);
}

bool Progress::is_known() const {
    return evaluation_.condition != Condition::unknown && evaluation_.condition != Condition::not_applicable;
}

/// No delay asks for no evidence of lasting, whatever the clocks say.
bool Progress::has_run(Duration delay) const {
    return delay <= Duration::zero() || input_.now.at - occurrence_.since >= delay;
}

/// A sensor whose clock runs ahead must not put off a delay.
Timestamp Progress::evidence_time() const {
    return is_known() ? std::min(evaluation_.at, input_.now.at) : input_.now.at;
}

MessageContext Progress::context() const {
    return {.input = input_,
            .evaluation = evaluation_,
            .lasted = std::max(input_.now.at - occurrence_.breached_since, Duration::zero()),
            .worst = occurrence_.worst,
            .display = display_};
}

}  // namespace gyled::alarms
