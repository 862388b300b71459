#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"
#include "daemon/estimation/gas/gas_path.hpp"

// The ways by which gas should leave. kPa gauge.
namespace gyled::alarms {
namespace {

using base::headline;
using base::Quantity;
using namespace std::chrono_literals;

struct ValveParameters {
    // From here on a vented vessel holds pressure; 5 kPa are also 50 cm of water over a blow-off hose.
    double vent_holds_kpa = estimation::gas::GasPathParameters{}.vent_holds_kpa;
    Duration vent_on_delay = 5min;   ///< foam that lifts and falls is over by then; so is letting off by hand
    Duration vent_off_delay = 2min;  ///< a plug that moves lets gas by and sits again
    double vent_deadband_kpa = 2;    ///< above a transducer's noise
    Duration relief_off_delay = 30min;  ///< it opens again within the hour while the yeast is at work
};
constexpr ValveParameters parameters;

/// By the plan, which means pressure only where it drives out air or tries the seals.
bool should_be_open(const Situation& now) {
    return now.stage && now.head_space == base::HeadSpace::vented && now.stage != base::StageKind::purge &&
           now.stage != base::StageKind::tightness;
}

Evaluation vent_blocked(const EvaluationInput& input) {
    if (!should_be_open(input.now)) return {.condition = Condition::not_applicable};
    const auto pressure = current(input.now, Quantity::head_pressure);
    if (!pressure) return {};
    return {.condition = above(pressure->value, parameters.vent_holds_kpa, input.deadband),
            .at = pressure->at,
            .value = pressure->value,
            .limit = parameters.vent_holds_kpa,
            .quantity = Quantity::head_pressure};
}

Message vent_blocked_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the vent is blocked, " + value_text(context)),
            .text = "The plan says vented, but the head space has held pressure " + since(context) +
                    ", now " + value_text(context) + "."};
}

Message vent_blocked_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the vent is open again"),
            .text = "Head pressure is down to " + value_text(context) + ". " + lasted_and_worst(context)};
}

// ---- the relief valve

Evaluation relief_lifting(const EvaluationInput& input) {
    const auto& relief = input.now.relief;
    if (!relief || relief->count < 1) return {.condition = Condition::within, .at = input.now.at};
    const bool lifts = relief_is_lifting(input.now);
    return {.condition = lifts ? Condition::beyond : Condition::within,
            .at = lifts ? relief->last : input.now.at,
            .value = relief->opens_kpa,
            .limit = input.now.relief_kpa,
            .quantity = Quantity::head_pressure};
}

/// "opened 6 times since Sun 1 Mar 15:02, at 1.81 bar"
std::string openings(const MessageContext& context) {
    const auto& relief = *context.input.now.relief;
    const std::string first = context.display.local(relief.first);
    const std::string times =
        relief.count == 1 ? "once, at " + first : std::to_string(relief.count) + " times since " + first;
    return "opened " + times + ", at " + value_text(context);
}

Message relief_lifting_raised(const MessageContext& context) {
    const std::string mark = context.evaluation.limit ? "; it is set to " + limit_text(context) : "";
    return {.title =
                headline(vessel_name(context.input), ": the relief valve has opened, " + value_text(context)),
            .text = "The relief valve has " + openings(context) + mark + "."};
}

Message relief_lifting_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the relief valve no longer opens"),
            .text = "The relief valve no longer opens. " + lasted_and_worst(context)};
}

std::string relief_lifting_aid(const MessageContext& context) {
    const bool ferments = context.input.now.stage && !is_hot_side(context.input.now);
    return std::string{
               ferments ? "Cool the beer and shut the gas: fermentation must be stopped, never the valve."
                        : "Heat off, gas off, cooling on: stop what drives the pressure, never the valve."} +
           " Keep away from its outlet. Open doors or run the fan before you go in: each opening lets CO2 "
           "into the "
           "room, it lies low and has no smell. Never block, cap or reset the relief valve; a valve that has "
           "opened "
           "is looked over before the next batch. The vessel's plate and local codes decide.";
}

constexpr std::array rules{
    Rule{.info = {.name = "relief_lifting",
                  .meaning = "the relief valve has opened: it alone holds the pressure",
                  .priority = Priority::critical,
                  .safety = true},
         .off_delay = parameters.relief_off_delay,
         .explained_by = {},
         .first_aid =
             "Cool the vessel, shut the gas, take off heat: stop what drives the pressure, never the valve. "
             "Keep away from its outlet. Open doors or run the fan before you go in: each opening lets CO2 "
             "into the room, it lies low and has no smell. Never block, cap or reset the relief valve.",
         .evaluate = relief_lifting,
         .raised = relief_lifting_raised,
         .returned = relief_lifting_returned,
         .first_aid_now = relief_lifting_aid},
    Rule{.info = {.name = "vent_blocked",
                  .meaning = "a vented stage holds more than 5 kPa: gas cannot leave",
                  .priority = Priority::high,
                  .safety = true},
         .on_delay = parameters.vent_on_delay,
         .off_delay = parameters.vent_off_delay,
         .deadband = parameters.vent_deadband_kpa,
         .explained_by = "heating_shut",
         .first_aid =
             "Heat off, cooling on, and shut no valve: hop debris or foam sits in the vent. Clear the "
             "blow-off from outside, at the free end of its hose, and stand aside. Do not open the lid, and "
             "never loosen a fitting or clamp under pressure: what is behind it comes out with force. Open "
             "doors or run the fan: CO2 lies low and has no smell.",
         .evaluate = vent_blocked,
         .raised = vent_blocked_raised,
         .returned = vent_blocked_returned},
};

}  // namespace

std::span<const Rule> valve_rules() {
    return rules;
}

}  // namespace gyled::alarms
