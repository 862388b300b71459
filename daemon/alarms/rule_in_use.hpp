#pragma once
/// A rule as one vessel uses it: the built-in numbers, tuned by the configuration. Plain values that own what
/// they need; canonical units.

#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/rule.hpp"

namespace gyled::alarms {

struct RuleInUse {
    const Rule* rule;                         ///< constant data
    std::optional<RuleTuning> own_threshold;  ///< a person's own threshold; nothing for a built-in rule
    std::string name;
    Priority priority;
    bool priority_tuned = false;
    bool on_delay_tuned = false;
    Duration on_delay, off_delay;
    double deadband;

    /// The input with what is tuned filled in; borrows `own_threshold`.
    [[nodiscard]] EvaluationInput tuned(EvaluationInput input) const;
    /// How long it must last in this stage: what the person says counts in every one.
    [[nodiscard]] Duration on_delay_in(const std::optional<base::StageKind>& stage) const;
    /// How urgent an evaluation is. A step may only be more urgent than the person asked for.
    [[nodiscard]] Priority priority_of(const Evaluation& evaluation) const;
};

/// The rules for a vessel (empty: for the watch itself), causes before what they explain. Tunings that
/// `check` objects to are passed over; what is said for one vessel beats what is said for all.
[[nodiscard]] std::vector<RuleInUse> rules_in_use(const std::string& vessel,
                                                  const std::vector<RuleTuning>& tunings);

}  // namespace gyled::alarms
