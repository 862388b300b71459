#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/alarms/tightness.hpp"
#include "daemon/base/text.hpp"

// The tightness test: pass, fail, or not yet known, by its own doubt.
namespace gyled::alarms {
namespace {

using base::headline;
using base::StageKind;

/// Nothing begins while the interval still spans the limit.
Evaluation verdict(const EvaluationInput& input, TightnessVerdict wanted) {
    if (input.now.stage != StageKind::tightness) return {.condition = Condition::not_applicable};
    const auto found = tightness_finding(input.now);
    if (!found || found->verdict == TightnessVerdict::not_yet_known) return {};
    return {.condition = found->verdict == wanted ? Condition::beyond : Condition::within,
            .at = input.now.at};
}

Evaluation leaks(const EvaluationInput& input) {
    return verdict(input, TightnessVerdict::leaks);
}
Evaluation tight(const EvaluationInput& input) {
    return verdict(input, TightnessVerdict::tight);
}

Message message(const MessageContext& context, std::string_view news) {
    const auto found = tightness_finding(context.input.now);
    return {.title = headline(vessel_name(context.input), news),
            .text = found ? tightness_text(*found, context.display) : std::string{}};
}
Message leaks_raised(const MessageContext& context) {
    return message(context, ": it leaks, the tightness test failed");
}
Message leaks_returned(const MessageContext& context) {
    return message(context, ": it holds now, the tightness test passed");
}
Message tight_raised(const MessageContext& context) {
    return message(context, ": it is tight");
}
Message tight_returned(const MessageContext& context) {
    return message(context, ": not tight after all");
}

constexpr std::array rules{
    Rule{.info = {.name = "tightness_failed",
                  .meaning = "the vessel under test loses more gas than the limit, beyond doubt",
                  .priority = Priority::high,
                  .safety = false},
         .explained_by = {},
         .first_aid =
             "Open doors or run the fan before you go in: CO2 lies low and has no smell. Brush soapy "
             "water over lid, valves and hoses and look for bubbles. Let the pressure off before you "
             "tighten or loosen anything.",
         .evaluate = leaks,
         .raised = leaks_raised,
         .returned = leaks_returned},
    Rule{.info = {.name = "tightness_passed",
                  .meaning = "the vessel under test holds its gas, beyond doubt",
                  .priority = Priority::low,
                  .safety = false},
         .information = true,
         .explained_by = {},
         .first_aid = "",
         .evaluate = tight,
         .raised = tight_raised,
         .returned = tight_returned},
};

}  // namespace

std::span<const Rule> tightness_rules() {
    return rules;
}

}  // namespace gyled::alarms
