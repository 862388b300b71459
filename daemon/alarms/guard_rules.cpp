#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"
#include "daemon/brewing/freezing.hpp"
#include "daemon/brewing/relief.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/solubility.hpp"

// What the numbers that are there already warn of on the cold side: ice, a full vessel, gas that is too much
// for the beer, a regulator that creeps, CO2 in the room. kPa gauge, degC, litres.
namespace gyled::alarms {
namespace {

using base::headline;
using base::HeadSpace;
using base::Pressure;
using base::Quantity;
using base::StageKind;
using namespace std::chrono_literals;

struct GuardParameters {
    double ice_margin_c = brewing::freezing_point_doubt_c;  ///< above the freezing point, as for a plan
    double ice_deadband_c = 0.3;                            ///< a controller's swing
    Duration ice_on_delay = 10min;   ///< a kettle of beer takes longer to freeze; a knocked probe is back
    Duration ice_off_delay = 30min;  ///< ice melts slowly
    Duration full_off_delay = 1min;  ///< a word of the person's ends it: a stage, a volume
    double gush_volumes = 0.5;  ///< above what air's pressure keeps in it: half a bottle's gas at once; a
                                ///< ferment of its own holds up to 0.3 (common practice)
    double gush_deadband_volumes = 0.1;  ///< the belief's scatter
    double open_below_kpa = 5;           ///< an open vessel shows nothing; sensors err
    Duration gush_on_delay = 2min;       ///< a valve that is opened and shut
    Duration gush_off_delay = 30min;     ///< the belief moves by the hour
    double creep_kpa = 5;                ///< above the set point, or ...
    double creep_share = 0.10;  ///< ... this share of it: cheap regulators lock up by less (common practice)
    double creep_deadband_kpa = 2;     ///< a transducer's noise and drift
    double warming_c_per_h = 0.3;      ///< from here on warmth explains a rise
    double creep_volumes = 0.05;       ///< the beer must certainly take gas up, or it gives the gas itself
    Duration creep_on_delay = 10min;   ///< somebody turns the knob
    Duration creep_off_delay = 10min;  ///< likewise
    double room_c = 20;                ///< gas given off counts at this temperature
    double room_deadband_ppm = 500;    ///< the belief's scatter
    Duration room_off_delay = 1h;      ///< the sum over 12 h moves by the hour
};
constexpr GuardParameters parameters;

std::optional<base::Estimate> estimate(const Situation& now, Quantity quantity) {
    const auto found = now.estimates.find(quantity);
    if (found == now.estimates.end() || !std::isfinite(found->second.value)) return std::nullopt;
    return found->second;
}

bool holds_beer(const Situation& now) {
    return now.stage && base::is_cold_side(*now.stage);
}

// ---- freezing

/// Of the beer as it is believed to be, its alcohol taken at the low end.
std::optional<double> freezing_point(const Situation& now) {
    const auto alcohol = estimate(now, Quantity::alcohol_by_volume);
    const auto gravity = estimate(now, Quantity::gravity_now);
    if (!holds_beer(now) || !alcohol || !gravity) return std::nullopt;
    const double by_weight =
        brewing::alcohol_by_weight_from_volume(std::max(0.0, alcohol->low), gravity->value);
    return brewing::freezing_point_c(
        by_weight, brewing::original_extract_plato(by_weight, brewing::plato_from_sg(gravity->value)));
}

Evaluation freezing(const EvaluationInput& input) {
    if (!holds_beer(input.now)) return {.condition = Condition::not_applicable};
    const auto point = freezing_point(input.now);
    const auto beer = current(input.now, Quantity::beer_temperature);
    if (!point || !beer) return {};
    return {.condition = below(beer->value, *point + parameters.ice_margin_c, input.deadband),
            .at = beer->at,
            .value = beer->value,
            .limit = point,
            .quantity = Quantity::beer_temperature,
            .low_side = true,
            .urgency = beer->value < *point && input.now.head_space != HeadSpace::vented ? Priority::critical
                                                                                         : Priority::high};
}

Message freezing_raised(const MessageContext& context) {
    return {
        .title = headline(vessel_name(context.input), ": beer is about to freeze, " + value_text(context)),
        .text = "Beer at " + value_text(context) + " freezes near " + limit_text(context) +
                ", first at the coldest wall. Ice takes more room: in a full, closed vessel it bursts what "
                "holds it."};
}
Message freezing_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": away from freezing, " + value_text(context)),
            .text = "The beer is warmer than it freezes at again. " + lasted_and_worst(context)};
}

// ---- head space

double head_space_percent(const Situation& now) {
    return 100.0 * (now.total_volume_l - now.volume_l) / now.total_volume_l;
}

Evaluation head_space_small(const EvaluationInput& input) {
    const Situation& now = input.now;
    const bool is_closed = now.head_space != HeadSpace::vented;
    if (!is_closed || !now.is_filled || !(now.total_volume_l > 0))
        return {.condition = Condition::not_applicable};
    return {.condition = head_space_percent(now) < brewing::headspace_percent_min ? Condition::beyond
                                                                                  : Condition::within,
            .at = now.at};
}

Message head_space_small_raised(const MessageContext& context) {
    const Situation& now = context.input.now;
    return {.title = headline(vessel_name(context.input), ": closed with too little head space"),
            .text = fmt::format("{:.1f} % of the vessel is head space, less than {:.0f} %. Beer swells as it "
                                "warms; with no gas left to give way the liquid bursts what holds it, and a "
                                "small head space rises fast.",
                                std::max(0.0, head_space_percent(now)), brewing::headspace_percent_min)};
}
Message head_space_small_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": enough head space"),
            .text = "There is room above the beer again. " + lasted_and_worst(context)};
}

// ---- gushing

Evaluation gush_risk(const EvaluationInput& input) {
    const Situation& now = input.now;
    if (!holds_beer(now)) return {.condition = Condition::not_applicable};
    const auto beer = current(now, Quantity::beer_temperature);
    const auto held = estimate(now, Quantity::co2_volumes);
    if (!beer || !held) return {};
    const double kept = brewing::volumes_in_beer(beer->value, Pressure::from_kpa_absolute(now.ambient_kpa));
    Evaluation found{.condition = above(held->low, kept + parameters.gush_volumes, input.deadband),
                     .at = beer->at,
                     .value = held->value,
                     .limit = kept,
                     .quantity = Quantity::co2_volumes};
    const auto head = current(now, Quantity::head_pressure);
    const bool is_open = head ? head->value < parameters.open_below_kpa : now.head_space == HeadSpace::vented;
    if (!is_open) found.condition = Condition::within;
    return found;
}

Message gush_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": beer would gush if opened or hopped now"),
            .text = "It holds " + value_text(context) + " of CO2 and without pressure keeps " +
                    limit_text(context) + ": hops, or a knock, bring it out all at once."};
}
Message gush_returned(const MessageContext& context) {
    return {
        .title = headline(vessel_name(context.input), ": no longer about to gush"),
        .text = "The beer has given off its gas or is under pressure again. " + lasted_and_worst(context)};
}

// ---- regulator

/// The beer takes gas up, so the rise is not its own.
bool takes_gas_up(const Situation& now) {
    const auto held = believed(now, Quantity::co2_volumes);
    const auto kept = believed(now, Quantity::co2_equilibrium_volumes);
    return held && kept && *kept > *held + parameters.creep_volumes;
}

/// Is there another reason for a rise, or does nobody know?
bool is_explained(const Situation& now) {
    const auto& warming = now.movement.temperature;
    return !takes_gas_up(now) || !warming || warming->per_hour > parameters.warming_c_per_h;
}

Evaluation regulator_creep(const EvaluationInput& input) {
    const Situation& now = input.now;
    const bool ferments = now.stage == StageKind::ferment || now.stage == StageKind::rest;
    if (now.head_space != HeadSpace::supplied || !now.head_pressure_set_kpa || ferments)
        return {.condition = Condition::not_applicable};
    const auto head = current(now, Quantity::head_pressure);
    if (!head) return {};
    const double set = *now.head_pressure_set_kpa;
    const double limit = set + std::max(parameters.creep_kpa, parameters.creep_share * set);
    Evaluation found{.condition = above(head->value, limit, input.deadband),
                     .at = head->at,
                     .value = head->value,
                     .limit = set,
                     .quantity = Quantity::head_pressure};
    const bool begins = now.movement.pressure_rise && !is_explained(now);
    if (found.condition == Condition::beyond && !begins) found.condition = Condition::eased;
    return found;
}

Message creep_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the regulator creeps, " + value_text(context)),
            .text = "Head pressure is " + value_text(context) + " and rises above the regulator's " +
                    limit_text(context) +
                    ", though the beer grows no warmer and takes gas up: the regulator "
                    "lets gas past its seat, up to the cylinder's pressure in the end."};
}
Message creep_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": the regulator holds, " + value_text(context)),
            .text = "Head pressure is back at the regulator's set point. " + lasted_and_worst(context)};
}

// ---- the room

std::optional<double> room_ppm(const Situation& now) {
    if (!now.room_m3 || !now.co2_given_off_l) return std::nullopt;
    return brewing::co2_in_room_ppm(*now.co2_given_off_l * base::kelvin(parameters.room_c) / base::kelvin(0),
                                    *now.room_m3);
}

Priority room_urgency(double ppm) {
    if (ppm > brewing::co2_ppm_dangerous_at_once) return Priority::critical;
    return ppm > brewing::co2_ppm_15_minutes_hse ? Priority::high : Priority::medium;
}

Evaluation co2_in_room(const EvaluationInput& input) {
    if (!input.now.room_m3 || !input.now.batch_name) return {.condition = Condition::not_applicable};
    const auto ppm = room_ppm(input.now);
    if (!ppm) return {};
    return {.condition = above(*ppm, brewing::co2_ppm_8_hours, input.deadband),
            .at = input.now.at,
            .urgency = room_urgency(*ppm)};
}

Message room_raised(const MessageContext& context) {
    const Situation& now = context.input.now;
    return {.title = headline(vessel_name(context.input), ": open doors before you go in, CO2 in the room"),
            .text = fmt::format(
                "In the last 12 h it has given off some {:.0f} L of CO2: {:.1f} % of a closed "
                "room of {:.0f} m3, more near the floor; {:.1f} % is the limit for 8 h of work.",
                *now.co2_given_off_l, *room_ppm(now) / 1e4, *now.room_m3, brewing::co2_ppm_8_hours / 1e4)};
}
Message room_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": gives off less CO2"),
            .text =
                "It has given off less in the last 12 h. That says nothing of the air in the room: what "
                "lies there stays until it is aired. " +
                lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{
        .info = {.name = "freezing",
                 .meaning = "beer within half a degree of its freezing point, by its own alcohol and extract",
                 .priority = Priority::high,
                 .safety = true},
        .escalates = true,
        .on_delay = parameters.ice_on_delay,
        .off_delay = parameters.ice_off_delay,
        .deadband = parameters.ice_deadband_c,
        .explained_by = {},
        .first_aid =
            "Stop cooling and let it warm up slowly. Do not draw or transfer while there may be ice: "
            "it blocks valves, relief valve included. Keep away from a full closed vessel that has "
            "frozen; never heat it.",
        .evaluate = freezing,
        .raised = freezing_raised,
        .returned = freezing_returned},
    Rule{.info = {.name = "head_space_small",
                  .meaning = "a closed vessel with less than 5 % of head space",
                  .priority = Priority::high,
                  .safety = true},
         .off_delay = parameters.full_off_delay,
         .explained_by = {},
         .first_aid =
             "Keep it cold and draw some beer off, the gas connected, until a twentieth of the vessel "
             "is free; or open it to its vent. Never loosen a fitting under pressure. If the volume "
             "is wrong, correct it: gyle batch correct.",
         .evaluate = head_space_small,
         .raised = head_space_small_raised,
         .returned = head_space_small_returned},
    Rule{.info = {.name = "gush_risk",
                  .meaning =
                      "open beer that holds far more CO2 than it can keep: hops or a knock make it gush",
                  .priority = Priority::medium,
                  .safety = false},
         .on_delay = parameters.gush_on_delay,
         .off_delay = parameters.gush_off_delay,
         .deadband = parameters.gush_deadband_volumes,
         .explained_by = {},
         .first_aid = "Let it stand cold, with its vent open, before you open it or add hops: it must give "
                      "off gas first. "
                      "Then add them a little at a time and stand clear of the opening. Open "
                      "doors or run the fan: the gas is CO2.",
         .evaluate = gush_risk,
         .raised = gush_raised,
         .returned = gush_returned},
    Rule{.info = {.name = "regulator_creep",
                  .meaning = "head pressure rises above the regulator's set point with no other reason",
                  .priority = Priority::high,
                  .safety = true},
         .on_delay = parameters.creep_on_delay,
         .off_delay = parameters.creep_off_delay,
         .deadband = parameters.creep_deadband_kpa,
         .explained_by = "pressure_near_limit",
         .first_aid = "Shut the gas at the cylinder. Let pressure off slowly through the part made for it; "
                      "never block the relief valve. Clean or replace the regulator before you open the "
                      "cylinder again.",
         .evaluate = regulator_creep,
         .raised = creep_raised,
         .returned = creep_returned},
    Rule{.info = {.name = "co2_in_room",
                  .meaning = "CO2 given off in the last 12 h would pass 0.5, 1.5 or 4 % of the closed room "
                             "(room_m3)",
                  .priority = Priority::medium,
                  .safety = true},
         .escalates = true,
         .off_delay = parameters.room_off_delay,
         .deadband = parameters.room_deadband_ppm,
         .explained_by = {},
         .first_aid =
             "Open doors and run the fan before you go in, and look at the CO2 alarm. CO2 lies low and "
             "has no smell: feel dizzy, get out, and do not go in after somebody without help.",
         .evaluate = co2_in_room,
         .raised = room_raised,
         .returned = room_returned},
};

}  // namespace

std::span<const Rule> guard_rules() {
    return rules;
}

}  // namespace gyled::alarms
