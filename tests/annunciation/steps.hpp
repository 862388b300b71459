#pragma once
/// Steps of alarms, what stands, and a house that hears.

#include <gmock/gmock.h>

#include "daemon/annunciation/annunciator.hpp"

namespace gyled::annunciation {

using alarms::AlarmState;
using alarms::Occurrence;
using alarms::Priority;
using alarms::Transition;
using namespace std::chrono_literals;

inline Timestamp at(base::Duration after) {
    return base::from_rfc3339("2026-03-01T18:00:00Z").value() + after;
}

inline Transition raised(const std::string& rule, Priority priority, base::Duration moment = 0min,
                         const std::string& subject = "") {
    Transition step;
    step.vessel = "north";
    step.rule = rule;
    step.subject = subject;
    step.raised_at = step.at = step.evidence_at = at(moment);
    step.alarm = "north/" + rule + (subject.empty() ? "" : "/" + subject) + "/" +
                 std::to_string(step.at.time_since_epoch().count());
    step.state = AlarmState::raised;
    step.priority = priority;
    step.title = "North: " + rule;
    step.text = "It is so.";
    return step;
}
inline Transition returned(Transition step, base::Duration moment) {
    step.state = AlarmState::normal;
    step.at = step.evidence_at = at(moment);
    step.annunciated = false;
    return step;
}
inline Occurrence standing(const Transition& step) {
    Occurrence out;
    out.last = step;
    out.state = step.state;
    out.present = {
        .evidence_at = step.evidence_at, .value = step.value, .title = step.title, .text = "It still is so."};
    return out;
}

/// Two people: one wants all, one is woken for what is urgent only.
struct House {
    Annunciator annunciator{{{"page", Priority::low}, {"phone", Priority::high}}};
    House() = default;
    explicit House(std::vector<Recipient> recipients) : annunciator{std::move(recipients)} {}

    std::vector<Notice> hears(std::vector<Transition> steps, const std::vector<Occurrence>& stands,
                              base::Duration now) {
        auto notices = annunciator.annunciate(steps, stands, at(now));
        last = std::move(steps);
        return notices;
    }
    std::vector<Transition> last;  ///< the transitions as annunciation left them
};

MATCHER_P(For, recipient, "is for " + std::string{recipient} + " alone") {
    return arg.recipients == std::vector<std::string>{recipient};
}
MATCHER(ForNobody, "is for nobody yet") {
    return arg.recipients.empty();
}

}  // namespace gyled::annunciation
