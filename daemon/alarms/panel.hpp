#pragma once
/// All alarms of one vessel (or of the watch itself): evaluates what the core sees and says what is true. It
/// annunciates nothing: who hears of it is decided afterwards (daemon/annunciation).
///
/// Thread: one. Deterministic: time comes with the situation; a time that runs backwards delays, it raises
/// nothing. Delays run with time on the evidence at hand: a reading counts until it is stale. Errors are
/// values, in words for a person.

#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/occurrence.hpp"
#include "daemon/alarms/panel_state.hpp"
#include "daemon/alarms/rule_in_use.hpp"
#include "daemon/alarms/situation.hpp"
#include "daemon/alarms/tuning.hpp"
#include "daemon/base/result.hpp"
#include "daemon/display/display.hpp"

namespace gyled::alarms {

/// How long a person may ask for silence.
struct ShelvingParameters {
    Duration safety_longest =
        std::chrono::hours{24};  ///< for a safety rule: a day later somebody must look again
    Duration longest = std::chrono::hours{24 * 30};  ///< for any other: no silence is for ever
};

class AlarmPanel {
public:
    /// `vessel` empty: the watch itself, which knows only what concerns no vessel (broker_lost). Tunings for
    /// other vessels are passed over, and so are those that `check` objects to: a safety rule stays on.
    AlarmPanel(std::string vessel, const std::vector<RuleTuning>& tunings, display::Display display);

    /// To be called after every reading and at least once a minute, with the same vessel each time. Returns
    /// the steps that it took: usually none. Also ends shelving whose time has come.
    [[nodiscard]] std::vector<Transition> evaluate(const Situation& situation);

    /// A person's words about a standing occurrence, by its id. The reason when it cannot be done, in words.
    base::Result<Transition, std::string> acknowledge(const std::string& alarm, Timestamp at);
    /// Silence until `until`: later than `at`, and at most as long as ShelvingParameters allow.
    base::Result<Transition, std::string> shelve(const std::string& alarm, Timestamp at, Timestamp until,
                                                 const std::string& reason = {});

    /// Alarms that stand, most urgent first, then oldest first. Information is not among them.
    [[nodiscard]] std::vector<Occurrence> standing() const;

    /// The whole memory; valid until the next call that is not const.
    [[nodiscard]] const PanelState& state() const { return state_; }
    /// Takes up what `state` gave: evaluation goes on exactly as if nothing had happened. Whatever stood
    /// before is forgotten. Occurrences of other vessels are passed over; those of rules that are no longer
    /// in use return to normal with the next evaluation.
    void restore(PanelState state);

private:
    void evaluate(const RuleInUse& rule, const EvaluationInput& untuned, std::vector<Transition>& steps);
    void evaluate_each_sensor(const RuleInUse& rule, EvaluationInput input, std::vector<Transition>& steps);
    void evaluate_each_impairment(const RuleInUse& rule, EvaluationInput input,
                                  std::vector<Transition>& steps);
    void end_what_is_no_longer_watched(const Situation& now, std::vector<Transition>& steps);
    [[nodiscard]] EvaluationInput input_for(const Situation& now);
    [[nodiscard]] bool was_raised_in_stage(std::string_view rule, const Situation& now);
    [[nodiscard]] const RuleInUse* rule_named(std::string_view name) const;
    [[nodiscard]] bool is_watched(const Occurrence& occurrence, const Situation& now) const;
    Occurrence* find(std::string_view rule, std::string_view subject);
    Occurrence* standing_with_id(const std::string& alarm);

    std::string vessel_;
    display::Display display_;
    std::vector<RuleInUse> rules_;
    ShelvingParameters shelving_;
    PanelState state_;
};

}  // namespace gyled::alarms
