#include <algorithm>
#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"
#include "daemon/brewing/water.hpp"

// Brew day: a kettle about to boil over, heat that goes nowhere. degC.
namespace gyled::alarms {
namespace {

using base::headline;
using base::Pressure;
using base::Quantity;
using base::StageKind;
using namespace std::chrono_literals;

struct BrewDayParameters {
    double near_boil_c = 3;  ///< below the boil: the hot break's foam rises from here on (common practice)
    double boils_within_c = 0.3;  ///< a probe's error: it boils
    double rising_c_per_h = 6;    ///< slower is a simmer that is held
    double certain_sigmas = 2;    ///< by which a rate must be so
    double target_above_c = 1;    ///< nearer than this a thermostat has it in hand
    double boil_margin_c = 2;     ///< so near the boil no heat raises it
    double no_rise_c_per_h =
        3;                   ///< 0.75 degC in a quarter of an hour: a weak flame gives 20 (common practice)
    Duration begun = 15min;  ///< after a stage has begun: the window that rates are seen over
    Duration heating_on_delay = 10min;  ///< a lid that is opened, grain that goes in
    Duration heating_off_delay = 2min;  ///< a rate is seen over minutes
};
constexpr BrewDayParameters parameters;

bool is_heated(StageKind kind) {
    return kind <= StageKind::boil || kind == StageKind::clean || kind == StageKind::rinse;
}

double boiling_c(const Situation& now) {
    return brewing::boiling_point_c(Pressure::from_kpa_absolute(now.ambient_kpa));
}

// ---- boil-over

Evaluation boil_over_near(const EvaluationInput& input) {
    const Situation& now = input.now;
    if (now.stage != StageKind::boil) return {.condition = Condition::not_applicable};
    const auto wort = current(now, Quantity::beer_temperature);
    const auto& slope = now.movement.temperature;
    if (!wort || !slope) return {};
    const double boil = boiling_c(now);
    const bool is_near =
        wort->value > boil - parameters.near_boil_c && wort->value < boil - parameters.boils_within_c;
    const bool rises = slope->per_hour - parameters.certain_sigmas * slope->sigma > parameters.rising_c_per_h;
    return {.condition = is_near && rises ? Condition::beyond : Condition::eased,  // told once for each boil
            .at = wort->at,
            .value = wort->value,
            .limit = boil,
            .quantity = Quantity::beer_temperature};
}

Message boil_over_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": about to boil, " + value_text(context)),
            .text = "Wort at " + value_text(context) + " and rising; it boils here at " +
                    limit_text(context) + ", and foams up just before."};
}
Message boil_over_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": no boil ahead"),
            .text = lasted_and_worst(context)};
}

// ---- heat that goes nowhere

Evaluation heating_without_rise(const EvaluationInput& input) {
    const Situation& now = input.now;
    if (!now.stage || !is_heated(*now.stage) || !now.stage_since)
        return {.condition = Condition::not_applicable};
    const auto wort = current(now, Quantity::beer_temperature);
    if (!wort) return {};
    Evaluation found{.condition = Condition::within,
                     .at = wort->at,
                     .value = wort->value,
                     .limit = now.movement.target_c,
                     .quantity = Quantity::beer_temperature,
                     .low_side = true};
    const bool wants_heat = now.movement.target_c &&
                            *now.movement.target_c > wort->value + parameters.target_above_c &&
                            wort->value < boiling_c(now) - parameters.boil_margin_c;
    if (!wants_heat) return found;
    const auto& slope = now.movement.temperature;
    if (!slope || now.at - *now.stage_since < parameters.begun) return {};
    if (slope->per_hour + parameters.certain_sigmas * slope->sigma < parameters.no_rise_c_per_h)
        found.condition = Condition::beyond;
    else if (slope->per_hour < parameters.no_rise_c_per_h + input.deadband)
        found.condition = Condition::eased;
    return found;
}

Message no_rise_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": it is not heating, " + value_text(context)),
            .text = "It should warm to " + limit_text(context) + " and has stood at " + value_text(context) +
                    " for " + display::duration_text(context.lasted + parameters.begun) + "."};
}
Message no_rise_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": it is heating, " + value_text(context)),
            .text = "The temperature rises again, or is where it should be. " + lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "heating_without_rise",
                  .meaning = "a stage wants it warmer, and for a quarter of an hour it has not risen",
                  .priority = Priority::high,
                  .safety = false},
         .on_delay = parameters.heating_on_delay,
         .off_delay = parameters.heating_off_delay,
         .deadband = 2,
         .explained_by = "temperature_out_of_band",
         .first_aid =
             "Switch the heat off until you have looked. An element that is not covered burns out and can "
             "start a fire, and a gas flame may have gone out. Pull the plug before you touch "
             "element or wiring. Then look at fuse, probe and level.",
         .evaluate = heating_without_rise,
         .raised = no_rise_raised,
         .returned = no_rise_returned},
    Rule{.info = {.name = "boil_over_near",
                  .meaning =
                      "wort within 3 degC of boiling, at this altitude, and rising: the hot break foams",
                  .priority = Priority::medium,
                  .safety = false},
         .information = true,
         .explained_by = {},
         .first_aid = "Stay beside it, lid off, ready to turn the heat down. Boiling wort sticks and scalds: "
                      "keep others and children away.",
         .evaluate = boil_over_near,
         .raised = boil_over_raised,
         .returned = boil_over_returned},
};

}  // namespace

std::span<const Rule> brew_day_rules() {
    return rules;
}

}  // namespace gyled::alarms
