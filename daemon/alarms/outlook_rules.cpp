#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// What would come to pass: pressure after cooling has failed, vacuum at the end of a cold crash. kPa gauge.
namespace gyled::alarms {
namespace {

using base::headline;
using base::HeadSpace;
using base::Quantity;
using namespace std::chrono_literals;

struct OutlookParameters {
    double vacuum_unrated_kpa = -2.0;   ///< without a maker's word: the doubt of a sensor
    Duration warm_on_delay = 2min;      ///< as when closed with sugar: a hand at the valve
    Duration warm_off_delay = 30min;    ///< the belief about dissolved gas moves by the hour
    double warm_deadband_kpa = 5;       ///< the belief's scatter from hour to hour
    Duration vacuum_on_delay = 10min;   ///< a crash has just been begun: the gas may be about to be connected
    Duration vacuum_off_delay = 30min;  ///< the belief moves by the hour
    double vacuum_deadband_kpa = 2;     ///< the belief's scatter from hour to hour
};
constexpr OutlookParameters parameters;

/// A spunding valve lets the gas go as the beer warms; a regulator does not.
bool holds_gas_in(HeadSpace mode) {
    return mode == HeadSpace::sealed || mode == HeadSpace::supplied;
}
/// A spunding valve lets nothing in; a regulator does.
bool keeps_air_out(HeadSpace mode) {
    return mode == HeadSpace::sealed || mode == HeadSpace::spunded;
}

Evaluation warm_pressure(const EvaluationInput& input) {
    if (!input.now.pressure_limit_kpa || !holds_gas_in(input.now.head_space))
        return {.condition = Condition::not_applicable};
    const auto warm = at_most(input.now, Quantity::warm_pressure);
    if (!warm || all_silent(input.now, Quantity::beer_temperature)) return {};
    return {.condition = above(*warm, *input.now.pressure_limit_kpa, input.deadband),
            .at = input.now.at,
            .value = warm,
            .limit = input.now.pressure_limit_kpa,
            .quantity = Quantity::warm_pressure};
}

Message warm_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), " would exceed its limit if it warmed up"),
            .text = "If cooling failed and the beer warmed up, head pressure could reach " +
                    value_text(context) + "; the lowest rated part is good for " + limit_text(context) + "."};
}

Message warm_returned(const MessageContext& context) {
    return {
        .title = headline(vessel_name(context.input), ": below its limit again if it warms up"),
        .text = "Warmed up, head pressure would stay below the limit again. " + lasted_and_worst(context)};
}

Evaluation vacuum_ahead(const EvaluationInput& input) {
    if (input.now.stage != base::StageKind::crash || !keeps_air_out(input.now.head_space))
        return {.condition = Condition::not_applicable};
    const auto crash = believed(input.now, Quantity::crash_pressure);
    if (!crash || all_silent(input.now, Quantity::head_pressure)) return {};
    const double limit =
        input.now.vacuum_limit_kpa < 0 ? input.now.vacuum_limit_kpa : parameters.vacuum_unrated_kpa;
    return {.condition = below(*crash, limit, input.deadband),
            .at = input.now.at,
            .value = crash,
            .limit = limit,
            .quantity = Quantity::crash_pressure,
            .low_side = true};
}

Message vacuum_ahead_raised(const MessageContext& context) {
    const std::string bears = context.input.now.vacuum_limit_kpa < 0
                                  ? "the vessel bears no less than " + limit_text(context)
                                  : "the vessel has no vacuum rating";
    return {.title = headline(vessel_name(context.input), ": the crash will pull a vacuum"),
            .text = "Cold beer takes up gas for days: head pressure would end near " + value_text(context) +
                    ", and " + bears + "."};
}

Message vacuum_ahead_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the crash will no longer pull a vacuum"),
            .text = "The crash will end above the vacuum limit. " + lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "warm_pressure_above_limit",
                  .meaning = "sealed beer that warmed up, its sugar fermented, could exceed the lowest rated "
                             "part",
                  .priority = Priority::high,
                  .safety = true},
         .on_delay = parameters.warm_on_delay,
         .off_delay = parameters.warm_off_delay,
         .deadband = parameters.warm_deadband_kpa,
         .explained_by = "closed_with_sugar",
         .first_aid = "Keep it cold, and let some gas off slowly through the part made for it if the cooling "
                      "cannot be trusted. The relief valve must stay free; the plate decides. Open doors or "
                      "run the fan: CO2 lies low and has no smell.",
         .evaluate = warm_pressure,
         .raised = warm_raised,
         .returned = warm_returned},
    Rule{.info = {.name = "vacuum_ahead",
                  .meaning = "a sealed cold crash would end below the vacuum limit",
                  .priority = Priority::medium,
                  .safety = false},
         .on_delay = parameters.vacuum_on_delay,
         .off_delay = parameters.vacuum_off_delay,
         .deadband = parameters.vacuum_deadband_kpa,
         .explained_by = "pressure_below_vacuum_limit",
         .first_aid = "Connect CO2 from a regulator at low pressure, within the vessel's rating, before it "
                      "cools further. No gas at hand: stop cooling. Thin vessels may be rated for no vacuum "
                      "at all.",
         .evaluate = vacuum_ahead,
         .raised = vacuum_ahead_raised,
         .returned = vacuum_ahead_returned},
};

}  // namespace

std::span<const Rule> outlook_rules() {
    return rules;
}

}  // namespace gyled::alarms
