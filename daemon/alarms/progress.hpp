#pragma once
/// Evaluation against life: carries one occurrence through one evaluation. Thread: the panel's; borrows all
/// that it is given for as long as it lives, which is one call.

#include <vector>

#include "daemon/alarms/life.hpp"
#include "daemon/alarms/occurrence.hpp"
#include "daemon/alarms/rule_in_use.hpp"

namespace gyled::alarms {

struct AcknowledgementParameters {
    Duration lasts = std::chrono::hours{12};  ///< half a day on, whoever acknowledged may have forgotten
};

class Progress {
public:
    /// `steps` receives the transitions.
    Progress(Occurrence& occurrence, const RuleInUse& rule, const EvaluationInput& input,
             const Evaluation& evaluation, const display::Display& display, std::vector<Transition>& steps);

    /// Lets happen what the evaluation means, and what has come with time: delays that have run, a shelf that
    /// has ended. An occurrence that comes out `normal` is over.
    void run();

private:
    // the steps of `run`, each in its own words
    void end_shelf();
    void run_while_within();
    void run_while_beyond();
    void end_acknowledgement();
    void note_extreme();
    void happen(Event event);
    void enter(AlarmState state);
    void raise();
    void describe_breach();
    void clear(bool applies);
    void step_to(AlarmState state);
    [[nodiscard]] bool is_known() const;
    [[nodiscard]] bool is_held() const;
    [[nodiscard]] bool is_worse() const;
    [[nodiscard]] bool has_run(Duration delay) const;
    [[nodiscard]] Timestamp evidence_time() const;
    [[nodiscard]] MessageContext context() const;

    Occurrence& occurrence_;
    const RuleInUse& rule_;
    const EvaluationInput& input_;
    const Evaluation& evaluation_;
    const display::Display& display_;
    std::vector<Transition>& steps_;
};

}  // namespace gyled::alarms
