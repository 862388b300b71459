#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/just_shut.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// What would come to pass: pressure after cooling has failed. kPa gauge.
namespace gyled::alarms {
namespace {

using base::headline;
using base::HeadSpace;
using base::Quantity;
using namespace std::chrono_literals;

struct OutlookParameters {
    Duration warm_on_delay = 2min;    ///< as when closed with sugar: a hand at the valve
    Duration warm_off_delay = 30min;  ///< the belief about dissolved gas moves by the hour
    double warm_deadband_kpa = 5;     ///< the belief's scatter from hour to hour
};
constexpr OutlookParameters parameters;

/// A spunding valve lets the gas go as the beer warms; a regulator does not.
bool holds_gas_in(HeadSpace mode) {
    return mode == HeadSpace::sealed || mode == HeadSpace::supplied;
}

Evaluation warm_pressure(const EvaluationInput& input) {
    if (!input.now.pressure_limit_kpa || !holds_gas_in(input.now.head_space))
        return {.condition = Condition::not_applicable};
    const auto warm = belief(input.now, Quantity::warm_pressure);
    if (!warm || all_silent(input.now, Quantity::beer_temperature)) return {};
    const Priority urgency = outlook_urgency(input.now, *warm, *input.now.pressure_limit_kpa);
    if (urgency < Priority::high && gauge_is_yet_to_tell(input.now)) return {};
    return {.condition = above(warm->high, *input.now.pressure_limit_kpa, input.deadband),
            .at = input.now.at,
            .value = warm->high,
            .limit = input.now.pressure_limit_kpa,
            .quantity = Quantity::warm_pressure,
            .urgency = urgency};
}

Message warm_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), " would exceed its limit if it warmed up"),
            .text = "If cooling failed and the beer warmed up, head pressure could reach " +
                    value_text(context) + "; " + ratings(context.input.now, context.display) + "."};
}

Message warm_returned(const MessageContext& context) {
    return {
        .title = headline(vessel_name(context.input), ": below its limit again if it warms up"),
        .text = "Warmed up, head pressure would stay below the limit again. " + lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "warm_pressure_above_limit",
                  .meaning = "sealed beer that warmed up, its sugar fermented, could exceed the lowest rated "
                             "part",
                  .priority = Priority::medium,
                  .safety = true},
         .escalates = true,
         .on_delay = parameters.warm_on_delay,
         .off_delay = parameters.warm_off_delay,
         .deadband = parameters.warm_deadband_kpa,
         .explained_by = "closed_with_sugar",
         .first_aid =
             "Keep it cold. If the cooling cannot be trusted, let gas off slowly through the vent or the "
             "spunding valve: beer foams and can block them. Never block the relief valve; the plate "
             "decides. Open doors or run the fan: CO2 lies low and has no smell.",
         .evaluate = warm_pressure,
         .raised = warm_raised,
         .returned = warm_returned},
};

}  // namespace

std::span<const Rule> outlook_rules() {
    return rules;
}

}  // namespace gyled::alarms
