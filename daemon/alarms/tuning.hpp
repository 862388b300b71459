#pragma once
/// One [[alarm]] of the configuration: tunes a built-in rule, or states a threshold of one's own. Plain
/// values; `check` (rules.hpp) says what is wrong with one. Limits and deadbands are canonical units of what
/// is watched.

#include <optional>
#include <string>

#include "daemon/alarms/alarm.hpp"
#include "daemon/base/quantity.hpp"

namespace gyled::alarms {

struct RuleTuning {
    std::string rule;  ///< a built-in rule's name, or a new name with `quantity` and above/below
    std::optional<std::string> vessel;  ///< absent: every vessel
    std::optional<bool> enabled;
    bool accept_the_risk = false;  ///< i_accept_the_risk: needed to disable a safety rule
    std::optional<Priority> priority;
    std::optional<Duration> on_delay, off_delay;
    std::optional<double> deadband;  ///< canonical unit of what the rule watches
    // a threshold of one's own
    std::optional<base::Quantity> quantity;
    std::optional<double> above, below;  ///< canonical unit
    std::string text;                    ///< what the phone says; empty: made from the threshold
};

/// Names of the built-in rules, for configuration checks and `gyle alarms`.
struct RuleInfo {
    std::string_view name;
    std::string_view meaning;  ///< one line
    Priority priority;
    bool safety;  ///< cannot be disabled without accepting the risk, nor shelved without an end
};

}  // namespace gyled::alarms
