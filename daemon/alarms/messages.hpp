#pragma once
/// The sentences of the alarms: what every rule's messages share, and what the panel says itself. Pure
/// functions, any thread; values in the person's units and time zone.

#include "daemon/alarms/occurrence.hpp"
#include "daemon/alarms/rule_in_use.hpp"

namespace gyled::alarms {

/// The vessel's name for people.
[[nodiscard]] std::string vessel_name(const EvaluationInput& input);
/// The value of what was found; empty when there is none.
[[nodiscard]] std::string value_text(const MessageContext& context);
[[nodiscard]] std::string limit_text(const MessageContext& context);
/// What the vessel holds, as the trade calls it: liquor, mash, wort, beer, cleaner.
[[nodiscard]] std::string_view liquid(const Situation& now);
/// Is it before pitching, or around a batch, where what is in the vessel may scald?
[[nodiscard]] bool is_hot_side(const Situation& now);
/// What bears how much, each under its own name: "the relief valve is set to 1.80 bar, the plate allows 2.00
/// bar". Precondition: a limit is known.
[[nodiscard]] std::string ratings(const Situation& now, const display::Display& display);
/// The one that counts: "the relief valve's set point of 1.80 bar". The same precondition.
[[nodiscard]] std::string limit_by_name(const Situation& now, const display::Display& display);
/// "since Sun 1 Mar 18:00": when the limit was passed.
[[nodiscard]] std::string since(const MessageContext& context);
/// "Lasted 3 h 10 min, at worst 21.4 °C."
[[nodiscard]] std::string lasted_and_worst(const MessageContext& context);

/// The occurrence has returned to normal; says when the reading was taken if that is a while ago.
[[nodiscard]] Message returned_message(const RuleInUse& rule, const MessageContext& context);
/// The stage or batch that the rule belonged to has ended.
[[nodiscard]] Message not_applicable_message(const RuleInUse& rule, const EvaluationInput& input);
/// How it stands now, beside how it was when raised.
[[nodiscard]] Present present_of(const Occurrence& occurrence, const RuleInUse& rule,
                                 const MessageContext& context);

}  // namespace gyled::alarms
