#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/just_shut.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// A vessel that is shut while its yeast still has sugar to eat. kPa gauge. Judged by the unsafe end of what
// is believed, never by its middle: where that end alone passes what the vessel bears, a person is asked to
// measure, and called when hours of its gauge leave it open.
namespace gyled::alarms {
namespace {

using base::headline;
using base::Quantity;
using namespace std::chrono_literals;

struct ClosingRuleParameters {
    Duration on_delay = 2min;    ///< a valve turned and turned back; the pressure takes hours
    Duration off_delay = 10min;  ///< an opened valve is open for good by then
    double deadband_kpa = 10;    ///< the belief's scatter from hour to hour: a fifth of a gravity point
};
constexpr ClosingRuleParameters parameters;

const base::Estimate* estimate_of(const Situation& now, Quantity quantity) {
    const auto found = now.estimates.find(quantity);
    return found == now.estimates.end() ? nullptr : &found->second;
}

/// Without a belief about the sugar there is nothing to say of it.
bool knows_sugar(const Situation& now) {
    return estimate_of(now, Quantity::closing_gravity) != nullptr;
}

Evaluation closed_with_sugar(const EvaluationInput& input) {
    const auto bearable = bearable_kpa(input.now);
    if (!bearable || !input.now.stage) return {.condition = Condition::not_applicable};
    const auto shut = is_shut(input.now);
    if (shut == false) return {.condition = Condition::within, .at = input.now.at};
    const auto end = belief(input.now, Quantity::closed_pressure);
    if (!shut || !end || !knows_sugar(input.now) || all_silent(input.now, Quantity::beer_temperature))
        return {};
    const Priority urgency = outlook_urgency(input.now, *end, *bearable);
    if (urgency < Priority::high && gauge_is_yet_to_tell(input.now)) return {};
    return {.condition = above(end->high, *bearable, input.deadband),
            .at = input.now.at,
            .value = end->high,
            .limit = bearable,
            .quantity = Quantity::closed_pressure,
            .urgency = urgency};
}

bool asks(const MessageContext& context) {
    return *context.evaluation.urgency < Priority::high;
}

std::string where_it_ends(const MessageContext& context) {
    const base::Estimate& end = *estimate_of(context.input.now, Quantity::closed_pressure);
    return "Closed as it is, it ends at about " + context.display.text(Quantity::closed_pressure, end.value) +
           ", perhaps at " + value_text(context);
}

/// What gives way first.
std::string what_it_bears(const MessageContext& context) {
    const bool is_relief = *context.evaluation.limit < *context.input.now.pressure_limit_kpa;
    return (is_relief ? "its relief valve may open from " : "its lowest rated part bears ") +
           limit_text(context) + (is_relief ? " on" : "");
}

std::string when_to_close(const MessageContext& context) {
    const Situation& now = context.input.now;
    const base::Estimate* closing = estimate_of(now, Quantity::closing_gravity);
    const base::Estimate* final = estimate_of(now, Quantity::final_gravity);
    if (closing == nullptr) return {};
    if (final != nullptr && closing->value < final->value)
        return " Under this pressure it cannot be closed at all: let gas off first.";
    std::string text =
        " Close it from " + context.display.text(Quantity::closing_gravity, closing->value) + " on";
    if (const base::Estimate* gravity = estimate_of(now, Quantity::gravity_now))
        text += "; gravity is " + context.display.text(Quantity::gravity_now, gravity->value) + " now";
    return text + ".";
}

Message closed_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), asks(context)
                                                              ? ": closed, measure the sugar that is left"
                                                              : ": closed with too much sugar left"),
            .text = where_it_ends(context) + "; " + what_it_bears(context) + "." + when_to_close(context)};
}

constexpr std::string_view open_it =
    "Open it to the spunding valve or vent, slowly: beer foams and can block them. Cool the beer: that "
    "slows the yeast and works from outside. Never set a spunding valve above what the vessel's plate and "
    "its weakest part bear, never block the relief valve, never loosen a fitting or clamp under pressure. "
    "The relief valve and the plate decide, not this message; local codes apply. Open doors or run the fan: "
    "CO2 lies low and has no smell.";
constexpr std::string_view measure_it =
    "Take a hydrometer reading and enter it. Shake the sample free of gas first; a floating hydrometer alone "
    "is off by more than what counts here. Until it is known leave the vessel open to its spunding valve or "
    "vent, opened slowly: beer foams and can block them. Without a reading the gauge goes on telling: this "
    "ends, or becomes an alarm, within a day of closing. Never block the relief valve, never loosen a "
    "fitting or "
    "clamp under pressure. The relief valve and the plate decide, not this message; local codes apply.";

std::string closed_aid(const MessageContext& context) {
    return std::string{asks(context) ? measure_it : open_it};
}

/// Open again, or closed and within its limits after all.
Message closed_returned(const MessageContext& context) {
    if (!context.evaluation.value)
        return {.title = headline(vessel_name(context.input), ": gas can leave again"),
                .text = "Gas can leave again. " + lasted_and_worst(context)};
    return {.title = headline(vessel_name(context.input), ": closed, but within its limit"),
            .text = "Closed as it is, it ends at " + value_text(context) + " at most, below what it bears. " +
                    lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "closed_with_sugar",
                  .meaning =
                      "closed as it is, the sugar left could raise the pressure beyond the lowest rated "
                      "part or to where the relief valve may open; asks first where that is improbable",
                  .priority = Priority::medium,
                  .safety = true},
         .escalates = true,
         .on_delay = parameters.on_delay,
         .off_delay = parameters.off_delay,
         .deadband = parameters.deadband_kpa,
         .explained_by = "pressure_near_limit",
         .first_aid = open_it,
         .evaluate = closed_with_sugar,
         .raised = closed_raised,
         .returned = closed_returned,
         .first_aid_now = closed_aid},
};

}  // namespace

std::span<const Rule> closing_rules() {
    return rules;
}

}  // namespace gyled::alarms
