#include "daemon/alarms/messages.hpp"

#include "daemon/base/text.hpp"

namespace gyled::alarms {
namespace {

/// A reading of this age is no surprise to somebody who knows their sensors; older, its time must be said.
constexpr Duration ordinary_age = std::chrono::minutes{10};

std::string value_sentence(const MessageContext& context) {
    return base::capitalised(base::spoken(base::name(*context.evaluation.quantity))) + " is " +
           value_text(context) + ".";
}

/// While nothing is heard, every measured value is an old one.
std::string read_at(const MessageContext& context) {
    const Evaluation& found = context.evaluation;
    const EvaluationInput& input = context.input;
    const bool is_cut_off =
        !input.now.broker_connected && found.quantity && base::is_measured(*found.quantity);
    const bool is_old = input.now.at - found.at > ordinary_age || is_cut_off;
    return found.value && is_old ? " Read at " + context.display.local(found.at) + "." : std::string{};
}

std::string at_raise(const Occurrence& occurrence, const MessageContext& context) {
    const auto quantity = context.evaluation.quantity;
    if (!quantity || !occurrence.raised_value || context.input.now.at <= occurrence.last.raised_at) return {};
    return " It was " + context.display.text(*quantity, *occurrence.raised_value) + " when raised at " +
           context.display.local(occurrence.last.raised_at) + ".";
}

}  // namespace

std::string vessel_name(const EvaluationInput& input) {
    return input.now.vessel_name.empty() ? input.now.vessel : input.now.vessel_name;
}

std::string value_text(const MessageContext& context) {
    const Evaluation& found = context.evaluation;
    return found.value && found.quantity ? context.display.text(*found.quantity, *found.value) : "";
}

std::string limit_text(const MessageContext& context) {
    const Evaluation& found = context.evaluation;
    return found.limit && found.quantity ? context.display.text(*found.quantity, *found.limit) : "";
}

std::string_view liquid(const Situation& now) {
    using enum base::StageKind;
    if (!now.stage) return "beer";
    switch (*now.stage) {
        case strike:
            return "liquor";
        case mash:
        case mash_out:
        case sparge:
            return "mash";
        case boil:
        case chill:
            return "wort";
        case clean:
            return "cleaner";
        case rinse:
            return "rinse water";
        case sanitise:
            return "sanitiser";
        case purge:
        case tightness:
            return "vessel";
        case ferment:
        case rest:
        case crash:
        case carbonate:
        case condition:
        case serve:
            break;
    }
    return "beer";
}

bool is_hot_side(const Situation& now) {
    return now.stage && !base::is_cold_side(*now.stage);
}

std::string ratings(const Situation& now, const display::Display& display) {
    const auto part = [&](std::string_view name, const std::optional<double>& kpa) {
        return kpa ? ", " + std::string{name} + " " + display.text(base::Quantity::head_pressure, *kpa) : "";
    };
    const std::string known = part("the relief valve is set to", now.relief_kpa) +
                              part("the plate allows", now.plate_kpa) +
                              part("the weakest fitting bears", now.fitting_kpa);
    return (known.empty() ? part("the lowest rated part bears", now.pressure_limit_kpa) : known).substr(2);
}

std::string limit_by_name(const Situation& now, const display::Display& display) {
    std::string_view name = "the limit of ";
    if (now.pressure_limit_kpa == now.fitting_kpa) name = "what the weakest fitting bears, ";
    if (now.pressure_limit_kpa == now.plate_kpa) name = "what the plate allows, ";
    if (now.pressure_limit_kpa == now.relief_kpa) name = "the relief valve's set point of ";
    return std::string{name} + display.text(base::Quantity::head_pressure, *now.pressure_limit_kpa);
}

std::string since(const MessageContext& context) {
    return "since " + context.display.local(context.input.now.at - context.lasted);
}

std::string lasted_and_worst(const MessageContext& context) {
    std::string out = "Lasted " + display::duration_text(context.lasted);
    if (context.worst && context.evaluation.quantity)
        out += ", at worst " + context.display.text(*context.evaluation.quantity, *context.worst);
    return out + ".";
}

Message returned_message(const RuleInUse& rule, const MessageContext& context) {
    Message message = rule.rule->returned(context);
    message.text += read_at(context);
    return message;
}

Message not_applicable_message(const RuleInUse& rule, const EvaluationInput& input) {
    const std::string what = base::spoken(rule.name);
    return {.title = base::headline(vessel_name(input), ": " + what + " no longer applies"),
            .text = "The alarm about " + what + " ended with its stage or batch."};
}

Present present_of(const Occurrence& occurrence, const RuleInUse& rule, const MessageContext& context) {
    const Evaluation& found = context.evaluation;
    Present out{.evidence_at = found.at,
                .value = found.value,
                .title = {},
                .text = occurrence.present.text,
                .step = found.step_kept};
    if (found.condition == Condition::beyond) {
        Message message = rule.rule->raised(context);
        out.title = std::move(message.title);
        out.text = message.text + read_at(context) + at_raise(occurrence, context);
    } else if (found.condition == Condition::eased && rule.rule->eased != nullptr) {
        out.text = rule.rule->eased(context) + read_at(context) + at_raise(occurrence, context);
    } else if (found.value && found.quantity) {
        out.text = value_sentence(context) + read_at(context) + at_raise(occurrence, context);
    }
    return out;
}

}  // namespace gyled::alarms
