#pragma once
/// The built-in rules by name, for configuration checks, `gyle alarms` and the manual.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/alarms/tuning.hpp"

namespace gyled::alarms {

/// Every built-in rule, in the order in which they are judged.
[[nodiscard]] std::span<const RuleInfo> rule_infos();

/// What is wrong with a tuning, in words; empty when it may be used. A rule with an unknown name and no
/// quantity is wrong here, too; which name was meant is for the configuration to guess.
[[nodiscard]] std::vector<std::string> check(const RuleTuning& tuning);

/// What to do first, and with what care, when this rule rings; empty for an unknown rule or one's own
/// threshold.
[[nodiscard]] std::string_view first_aid(std::string_view rule);

}  // namespace gyled::alarms
