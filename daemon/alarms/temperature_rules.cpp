#include <algorithm>
#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/stage_words.hpp"
#include "daemon/base/text.hpp"

// The stage's temperature band, and heat in a closed vessel. degC and kPa gauge.
namespace gyled::alarms {
namespace {

using base::headline;
using base::Quantity;
using namespace std::chrono_literals;

struct TemperatureParameters {
    // A sealed kettle is a pressure vessel: at 105 degC water alone gives 0.20 bar gauge, at 120 degC 0.97
    // (steam tables).
    double too_hot_to_be_shut_c = 90;  ///< from here on steam builds pressure fast
    double open_below_kpa = 5;         ///< an open kettle shows nothing; sensors err
    double shut_above_kpa = 10;        ///< twice that: no sensor's error
    Duration shut_off_delay = 1min;    ///< foam at the vent
    double shut_deadband_c = 2;        ///< a rolling boil's scatter
    // How long beer may be out of its band before it rings: as fast as it could go wrong.
    Duration mash_on_delay = 2min;      ///< strike and mash: enzymes are lost within minutes
    Duration boil_on_delay = 5min;      ///< also chill and cleaning: an addition of cold hops is over by then
    Duration ferment_on_delay = 30min;  ///< also rest and crash: an open door or a draught is over by then
    Duration keeping_on_delay = 1h;     ///< carbonate, condition, serve: cold beer bears an hour
    Duration band_off_delay = 5min;     ///< an open door, likewise
    double band_deadband_c = 0.3;       ///< a controller's swing around its set point
};
constexpr TemperatureParameters parameters;

Duration band_on_delay(base::StageKind stage) {
    using enum base::StageKind;
    switch (stage) {
        case strike:
        case mash:
        case mash_out:
        case sparge:
            return parameters.mash_on_delay;
        case boil:
        case chill:
        case clean:
        case rinse:
        case sanitise:
            return parameters.boil_on_delay;
        case carbonate:
        case condition:
        case serve:
            return parameters.keeping_on_delay;
        case ferment:
        case rest:
        case crash:
        case purge:
        case tightness:
            break;
    }
    return parameters.ferment_on_delay;
}

Evaluation out_of_band(const EvaluationInput& input) {
    if (!input.now.temperature_band_c || input.temperature_is_on_its_way)
        return {.condition = Condition::not_applicable};
    const auto beer = current(input.now, Quantity::beer_temperature);
    if (!beer) return {};
    return against_band(Quantity::beer_temperature, *beer, *input.now.temperature_band_c, input.deadband);
}

/// What it does to the wort. Beta amylase works best at 60 to 65 degC and is lost within minutes above 70,
/// alpha amylase at 68 to 74 (common practice, any textbook of brewing).
std::string_view mash_words(const Situation& now, bool cold) {
    if (now.stage != base::StageKind::mash) return {};
    return cold ? " Starch is converted more slowly, and the wort ferments further: drier and thinner."
                : " The enzymes that make fermentable sugar are lost: the wort ferments less far: fuller and "
                  "sweeter.";
}

Message out_of_band_raised(const MessageContext& context) {
    const Situation& now = context.input.now;
    const bool cold = context.evaluation.low_side;
    std::string stage = "the";
    if (now.stage) stage += " " + base::spoken(*now.stage) + " stage's";
    return {.title = headline(vessel_name(context.input),
                              (cold ? " is cold: " : " is warm: ") + value_text(context)),
            .text = base::capitalised(std::string{liquid(now)}) + " at " + value_text(context) +
                    (cold ? ", below " : ", above ") + limit_text(context) + ", " + stage + " limit, " +
                    since(context) + "." + std::string{mash_words(now, cold)}};
}

std::string out_of_band_aid(const MessageContext& context) {
    const bool cold = context.evaluation.low_side;
    const char* action = cold ? "Check that the cooling has not stuck on, and that the heating runs."
                              : "Check that the cooling runs.";
    if (is_hot_side(context.input.now))
        action = cold ? "Check that the heating runs." : "Turn the heat down.";
    return std::string{action} + " Look whether the probe sits in the " +
           std::string{liquid(context.input.now)} + ".";
}

Message out_of_band_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), " is back at " + value_text(context)),
            .text = "Temperature is in its band again. " + lasted_and_worst(context)};
}

bool is_said_to_be_shut(const Situation& now) {
    return is_hot_side(now) && now.head_space != base::HeadSpace::vented;
}

/// Hot: is it shut, by its gauge? Without any gauge the person's word is that it is open.
Condition shut_by_gauge(const Situation& now, const std::optional<Latest>& pressure, Condition heat) {
    if (!pressure)
        return now.latest.contains(Quantity::head_pressure) ? Condition::unknown : Condition::within;
    if (pressure->value > parameters.shut_above_kpa) return heat;
    return pressure->value < parameters.open_below_kpa ? Condition::within : Condition::eased;
}

Evaluation heating_shut(const EvaluationInput& input) {
    const auto beer = current(input.now, Quantity::beer_temperature);
    if (!beer) return {};
    const double limit = parameters.too_hot_to_be_shut_c;
    Evaluation found{.condition = above(beer->value, limit, input.deadband),
                     .at = beer->at,
                     .value = beer->value,
                     .limit = limit,
                     .quantity = Quantity::beer_temperature};
    if (found.condition == Condition::within || is_said_to_be_shut(input.now)) return found;
    const auto pressure = current(input.now, Quantity::head_pressure);
    if (pressure) found.at = std::max(found.at, pressure->at);
    found.condition = shut_by_gauge(input.now, pressure, found.condition);
    return found;
}

Message heating_shut_raised(const MessageContext& context) {
    std::string text = base::capitalised(std::string{liquid(context.input.now)}) + " at " +
                       value_text(context) + " in a vessel that is not open to the air";
    if (const auto pressure = current(context.input.now, Quantity::head_pressure))
        text += "; the head space holds " + context.display.text(Quantity::head_pressure, pressure->value);
    return {
        .title = headline(
            vessel_name(context.input),
            " is above " + context.display.text(Quantity::beer_temperature, parameters.too_hot_to_be_shut_c) +
                " and closed"),
        .text = text + "."};
}

Message heating_shut_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": no longer hot and closed"),
            .text = "The vessel is no longer hot and closed. " + lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "heating_shut",
                  .meaning = "a closed vessel above 90 degC: steam builds pressure fast",
                  .priority = Priority::critical,
                  .safety = true},
         .off_delay = parameters.shut_off_delay,
         .deadband = parameters.shut_deadband_c,
         .explained_by = {},
         .first_aid =
             "Switch the heat off now and keep away from the vessel. Do not open lid or fittings while it is "
             "hot and under pressure: steam and what boils in it scald. Let the pressure off slowly, from "
             "aside, "
             "through the part made for that, and leave that open while it cools: closed, it would pull a "
             "vacuum. Never block or cap the relief valve; it protects you, this message does "
             "not.",
         .evaluate = heating_shut,
         .raised = heating_shut_raised,
         .returned = heating_shut_returned},
    Rule{.info = {.name = "temperature_out_of_band",
                  .meaning = "liquor, mash, wort or beer warmer or colder than the stage's temperature band",
                  .priority = Priority::high,
                  .safety = false},
         .on_delay = parameters.ferment_on_delay,
         .off_delay = parameters.band_off_delay,
         .on_delay_in = band_on_delay,
         .deadband = parameters.band_deadband_c,
         .explained_by = {},
         .first_aid = "Check that cooling or heating runs and that the probe sits where it should.",
         .evaluate = out_of_band,
         .raised = out_of_band_raised,
         .returned = out_of_band_returned,
         .first_aid_now = out_of_band_aid},
};

}  // namespace

std::span<const Rule> temperature_rules() {
    return rules;
}

}  // namespace gyled::alarms
