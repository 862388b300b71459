#pragma once
/// The built-in rules by name, for configuration checks, `gyle alarms`, annunciation and the manual. Constant
/// data: any thread; the views live as long as the program.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/alarms/tuning.hpp"

namespace gyled::alarms {

/// Every built-in rule, in the order in which they are evaluated.
[[nodiscard]] std::span<const RuleInfo> rule_infos();

/// The rules about the watch itself: the names that an impairment can have.
[[nodiscard]] std::vector<std::string_view> watch_rule_names();

/// What is wrong with a tuning, in words; empty when it may be used. A rule with an unknown name and no
/// quantity is wrong here, too; which name was meant is for the configuration to guess.
[[nodiscard]] std::vector<std::string> check(const RuleTuning& tuning);

/// What to do first, how, and what never, when this rule is raised: in general. Empty for an unknown rule or
/// one's own threshold.
[[nodiscard]] std::string_view first_aid(std::string_view rule);
/// The same, as this step asks for it.
[[nodiscard]] std::string_view first_aid(const Transition& step);
/// Its first sentence: the action.
[[nodiscard]] std::string_view first_action(std::string_view first_aid);

/// Does the rule give information, which never stands as an alarm? False for an unknown one.
[[nodiscard]] bool is_information(std::string_view rule);
/// Does the standing of `cause`, as urgently, explain this rule?
[[nodiscard]] bool explains(std::string_view cause, std::string_view rule);
/// Is there one occurrence for each sensor, so that several may share one cause?
[[nodiscard]] bool is_about_each_sensor(std::string_view rule);

}  // namespace gyled::alarms
