#include <array>

#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// A batch that runs by a plan which its vessel does not bear: what a command asks for is refused, but a batch
// may be registered late, taken up from an earlier store, or meet another plate in the configuration; and a
// planned start comes about with nobody there to refuse it.
namespace gyled::alarms {
namespace {

using base::headline;
using namespace std::chrono_literals;

struct PlateRuleParameters {
    Duration on_delay = 1min;  ///< who corrects a batch may need two commands
};
constexpr PlateRuleParameters parameters;

Evaluation plan_against_plate(const EvaluationInput& input) {
    if (!input.now.stage) return {.condition = Condition::not_applicable};
    const auto& danger = input.now.plan_danger;
    if (!danger) return {.condition = Condition::within, .at = input.now.at};
    return {.condition = Condition::beyond,
            .at = input.now.at,
            .urgency = danger->is_under_way ? Priority::high : Priority::medium};
}

Message plan_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the plan is more than the vessel bears"),
            .text = context.input.now.plan_danger->text};
}

Message plan_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the plan no longer exceeds the plate"),
            .text = "Of what is left of the plan nothing is found any more that the vessel does not bear. " +
                    lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "plan_against_plate",
                  .meaning = "the plan asks for more than the vessel's plate, relief valve or weakest part "
                             "bears; raised anew when that stage begins",
                  .priority = Priority::medium,
                  .safety = true},
         .escalates = true,
         .on_delay = parameters.on_delay,
         .off_delay = parameters.on_delay,
         .explained_by = {},
         .first_aid =
             "Do not go on by this plan: set valve, regulator and heat to what fits. Correct it, or register "
             "the batch anew by a plan that fits. Never set anything above what the plate, the relief valve "
             "and the weakest fitting bear, never block the relief valve, never loosen a fitting under "
             "pressure. The plate and licensed practice decide, not this message; local codes apply.",
         .evaluate = plan_against_plate,
         .raised = plan_raised,
         .returned = plan_returned},
};

}  // namespace

std::span<const Rule> plate_rules() {
    return rules;
}

}  // namespace gyled::alarms
