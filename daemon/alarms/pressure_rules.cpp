#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"
#include "daemon/brewing/relief.hpp"
#include "daemon/brewing/vacuum.hpp"

// Head pressure against what the vessel bears. All pressures kPa gauge.
namespace gyled::alarms {
namespace {

using base::headline;
using base::HeadSpace;
using base::Quantity;
using namespace std::chrono_literals;

struct PressureParameters {
    // Steps, as shares of the lowest rated part. A spring relief valve wants at least 10 % between working
    // pressure and its set point (common practice after API 520).
    double first_share = 0.80;     ///< medium: time to act at leisure
    double second_share = 0.90;    ///< high: the room that a relief valve wants is used up
    double last_share = 0.95;      ///< critical: the valve may open; a rise that is no longer seen proves
                                   ///< nothing
    double limit_share = 1.00;     ///< critical anew: the limit itself
    double relieved_share = 1.10;  ///< critical anew: a valve that relieves holds it within 10 % over its set
                                   ///< point (common practice after API 520); this one does not
    double beyond_share = 1.25;    ///< critical anew, and again at each further ...
    double further_share = 0.25;   ///< ... quarter of the limit: who knows of one must hear of the next
    double further_steps_most = 1000;   ///< a count must end; no transducer reads 250 times the limit
    double deadband_share_most = 0.05;  ///< of the limit: in a vessel of low rating 3 kPa would be a step
    // Outlook at the present rate.
    double soon_hours = 2.0;       ///< high: time to come home
    double very_soon_hours = 0.5;  ///< critical: act now
    /// Where vacuum begins to count in a vented vessel whose maker gives no limit: weather on an absolute
    /// sensor makes some 3 kPa. In a shut one brewing/vacuum.hpp says it.
    double vacuum_vented_kpa = -4.0;
    double vacuum_deadband_share = 0.5;  ///< of that limit at most: half way back counts as back
    // Delays and deadbands of the rules.
    Duration limit_off_delay = 2min;   ///< foam and a valve that chatters settle within
    double limit_deadband_kpa = 3;     ///< above a transducer's noise and drift
    Duration rising_off_delay = 5min;  ///< the rate is seen over minutes
    Duration vacuum_off_delay = 2min;  ///< as at the limit
    double vacuum_deadband_kpa = 1;    ///< above a transducer's noise
    Duration band_on_delay = 10min;    ///< a draught or a cylinder change is over by then
    Duration band_off_delay = 5min;    ///< likewise
    double band_deadband_kpa = 3;      ///< above a transducer's noise and drift
};
constexpr PressureParameters parameters;

constexpr const char* cold_advice =
    "Shut the gas and cool the beer: both work from outside. Let gas off slowly, only through the vent or "
    "the "
    "spunding valve: beer foams and can block them.";
constexpr const char* empty_advice =
    "Shut the gas and cool the vessel: both work from outside. Let gas off slowly, only through the part "
    "made "
    "for it.";
constexpr const char* hot_advice =
    "Heat off, and shut the gas: both work from outside. Let it cool before anything is opened: what is hot "
    "and "
    "under pressure boils over and scalds.";
constexpr const char* caution =
    " Above the limit keep away until the pressure falls. Never block the relief valve, never loosen a "
    "fitting or "
    "clamp under pressure. The relief valve and the vessel's plate decide, not this message; local codes "
    "apply. "
    "Open doors or run the fan: CO2 lies low and has no smell.";
/// The whole, as the list of rules shows it.
constexpr std::string_view pressure_care =
    "Shut the gas and cool the vessel: both work from outside. Let gas off slowly, only through the part "
    "made "
    "for it: beer foams and can block a vent or a spunding valve. Above the limit keep away until the "
    "pressure "
    "falls. Never block the relief valve, never loosen a fitting or clamp under pressure. The relief valve "
    "and the "
    "vessel's plate decide, not this message; local codes apply. Open doors or run the fan: CO2 lies low and "
    "has "
    "no smell.";

std::optional<double> limit_of(const Situation& now) {
    if (!now.pressure_limit_kpa || !(*now.pressure_limit_kpa > 0)) return std::nullopt;
    return now.pressure_limit_kpa;
}

std::string head_pressure_is(const MessageContext& context) {
    return "Head pressure is " + value_text(context);
}

// ---- near the limit

/// The pressures at which it rings, kPa gauge. Below the limit none lies higher than where the relief valve
/// may open: 2 psi or 3 % below its mark (UG-134).
class Steps {
public:
    Steps(double limit_kpa, const std::optional<double>& relief_kpa) : limit_kpa_{limit_kpa} {
        if (relief_kpa && *relief_kpa > 0) opens_kpa_ = brewing::may_open_from_kpa(*relief_kpa);
    }
    [[nodiscard]] double first() const { return before_it_opens(parameters.first_share); }
    [[nodiscard]] double second() const { return before_it_opens(parameters.second_share); }
    /// From here on the relief valve may be letting gas go.
    [[nodiscard]] double last() const { return before_it_opens(parameters.last_share); }

    /// How many lie below this pressure.
    [[nodiscard]] unsigned below(double kpa) const {
        unsigned passed = 0;
        for (const double share : {parameters.first_share, parameters.second_share, parameters.last_share})
            passed += kpa > before_it_opens(share) ? 1U : 0U;
        for (const double share :
             {parameters.limit_share, parameters.relieved_share, parameters.beyond_share})
            passed += kpa > share * limit_kpa_ ? 1U : 0U;
        const double further = (kpa / limit_kpa_ - parameters.beyond_share) / parameters.further_share;
        return passed +
               static_cast<unsigned>(std::clamp(std::floor(further), 0.0, parameters.further_steps_most));
    }
    [[nodiscard]] Priority urgency(double kpa) const {
        if (kpa > last()) return Priority::critical;
        return kpa > second() ? Priority::high : Priority::medium;
    }

private:
    [[nodiscard]] double before_it_opens(double share) const {
        return std::min(share * limit_kpa_, opens_kpa_);
    }
    double limit_kpa_;
    double opens_kpa_ = std::numeric_limits<double>::infinity();  ///< the relief valve may, from here on
};

Evaluation near_limit(const EvaluationInput& input) {
    const auto limit = limit_of(input.now);
    if (!limit) return {.condition = Condition::not_applicable};
    const auto pressure = current(input.now, Quantity::head_pressure);
    if (!pressure) return {};
    const Steps steps{*limit, input.now.relief_kpa};
    const double deadband = std::min(input.deadband, parameters.deadband_share_most * *limit);
    return {.condition = above(pressure->value, steps.first(), deadband),
            .at = pressure->at,
            .value = pressure->value,
            .limit = limit,
            .quantity = Quantity::head_pressure,
            .urgency = steps.urgency(pressure->value),
            .step = steps.below(pressure->value),
            .step_kept = steps.below(pressure->value + deadband)};
}

std::string below_the_limit(const Situation& now, Priority priority) {
    std::string aid = is_hot_side(now) ? hot_advice : now.stage ? cold_advice : empty_advice;
    return priority == Priority::critical ? aid + caution : aid;
}

/// Nobody should come near. The relief valve is spoken of only where it has to be open.
std::string above_the_limit(const Situation& now, double kpa) {
    const bool should_be_open =
        now.relief_kpa && kpa > *now.relief_kpa + brewing::set_tolerance_kpa(*now.relief_kpa);
    return std::string{"Keep away, and keep others away"} +
           (should_be_open ? ": the relief valve should be open." : ".") +
           " From a distance: gas off, heat off, cooling on. Open doors or run the fan before you go in: CO2 "
           "lies "
           "low and has no smell. Never block the relief valve, never loosen a fitting or clamp under "
           "pressure; "
           "local codes apply.";
}

std::string near_limit_aid(const MessageContext& context) {
    const Evaluation& found = context.evaluation;
    return *found.value > *found.limit ? above_the_limit(context.input.now, *found.value)
                                       : below_the_limit(context.input.now, *found.urgency);
}

std::string rising_aid(const MessageContext& context) {
    return below_the_limit(context.input.now, *context.evaluation.urgency);
}

Message near_limit_raised(const MessageContext& context) {
    const double percent = std::floor(100.0 * *context.evaluation.value / *context.evaluation.limit);
    return {.title = headline(vessel_name(context.input), ": pressure " + value_text(context) + ", " +
                                                              std::to_string(std::llround(percent)) +
                                                              " % of its limit"),
            .text = head_pressure_is(context) + "; " + ratings(context.input.now, context.display) + "."};
}

Message near_limit_returned(const MessageContext& context) {
    std::string rest = ": pressure is down";
    if (context.evaluation.value) rest += " to " + value_text(context);
    return {.title = headline(vessel_name(context.input), rest),
            .text = "Pressure is away from its limit again. " + lasted_and_worst(context)};
}

// ---- rising to the limit

/// By the early end of the interval: who comes home by the middle of it comes too late every other time.
double hours_left(const Evaluation& found, const Situation& now) {
    return (found.moment->low - base::unix_seconds(now.at)) / std::chrono::seconds{1h}.count();
}

/// A rise that slows is no return: it is over when it is certain no more, where enough has been seen to tell.
Condition without_a_rise(const Situation& now, const Evaluation& found) {
    const bool may_relieve =
        relief_is_lifting(now) || *found.value > Steps{*found.limit, now.relief_kpa}.last();
    return may_relieve || !now.pressure_trend_known ? Condition::unknown : Condition::within;
}

Evaluation rising_to_limit(const EvaluationInput& input) {
    const auto limit = limit_of(input.now);
    if (!limit) return {.condition = Condition::not_applicable};
    const auto pressure = current(input.now, Quantity::head_pressure);
    if (!pressure) return {};
    Evaluation found{
        .at = pressure->at, .value = pressure->value, .limit = limit, .quantity = Quantity::head_pressure};
    const bool is_held = rise_is_held(input.now, pressure->value);
    if (!is_held) found.moment = belief(input.now, Quantity::limit_time);
    if (!found.moment) {
        found.condition = is_held ? Condition::within : without_a_rise(input.now, found);
        return found;
    }
    const double hours = hours_left(found, input.now);
    found.condition = hours < parameters.soon_hours ? Condition::beyond : Condition::eased;
    found.urgency = hours < parameters.very_soon_hours ? Priority::critical : Priority::high;
    return found;
}

Duration time_left(const MessageContext& context) {
    constexpr double day_s = std::chrono::seconds{24h}.count();
    const double seconds =
        hours_left(context.evaluation, context.input.now) * std::chrono::seconds{1h}.count();
    return std::chrono::seconds{std::llround(std::clamp(seconds, 0.0, day_s))};
}

/// "the relief valve's set point of 1.80 bar about Sun 1 Mar 20:00, at the earliest Sun 1 Mar 19:50"
std::string limit_at(const MessageContext& context) {
    const base::Estimate& when = *context.evaluation.moment;
    const std::string about = context.display.text(Quantity::limit_time, when.value);
    const std::string earliest = context.display.text(Quantity::limit_time, when.low);
    return limit_by_name(context.input.now, context.display) + " about " + about +
           (earliest == about ? "" : ", at the earliest " + earliest);
}

Message rising_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input),
                              ": pressure limit in " + display::duration_text(time_left(context))),
            .text = head_pressure_is(context) + " and rises: it reaches " + limit_at(context) + "."};
}

std::string rising_eased(const MessageContext& context) {
    return head_pressure_is(context) + " and still rises, slower now: it reaches " + limit_at(context) + ".";
}

Message rising_returned(const MessageContext& context) {
    const std::string now = context.evaluation.value ? ", now " + value_text(context) : "";
    return {.title = headline(vessel_name(context.input), ": pressure no longer rises to its limit"),
            .text = "Head pressure no longer rises to its limit" + now + ". " + lasted_and_worst(context)};
}

// ---- vacuum

double vacuum_threshold_kpa(const Situation& now) {
    if (!(now.vacuum_limit_kpa < 0) && now.head_space == HeadSpace::vented)
        return parameters.vacuum_vented_kpa;
    return brewing::bearable_vacuum_kpa(now.vacuum_limit_kpa);
}

Evaluation below_vacuum_limit(const EvaluationInput& input) {
    const auto pressure = current(input.now, Quantity::head_pressure);
    if (!pressure) return {};
    const double limit = vacuum_threshold_kpa(input.now);
    if (!std::isfinite(limit)) return {.condition = Condition::not_applicable};
    const double deadband = std::min(input.deadband, -limit * parameters.vacuum_deadband_share);
    return {.condition = below(pressure->value, limit, deadband),
            .at = pressure->at,
            .value = pressure->value,
            .limit = limit,
            .quantity = Quantity::head_pressure,
            .low_side = true};
}

Message vacuum_raised(const MessageContext& context) {
    const std::string bears = context.input.now.vacuum_limit_kpa < 0
                                  ? "the vessel bears no less than " + limit_text(context)
                                  : "no vacuum rating: keep it above 0";
    return {.title = headline(vessel_name(context.input), ": vacuum, " + value_text(context)),
            .text = head_pressure_is(context) + "; " + bears + "."};
}

Message vacuum_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": no longer under vacuum"),
            .text = "Head pressure is above the vacuum limit again. " + lasted_and_worst(context)};
}

// ---- the stage's band

/// A plan that asks for more than the vessel may hold is no reason to ask a person for it.
bool asks_for_too_much(const Situation& now, const Evaluation& found) {
    const auto limit = limit_of(now);
    return found.low_side && limit && *found.limit > Steps{*limit, now.relief_kpa}.second();
}

Evaluation out_of_band(const EvaluationInput& input) {
    if (!input.now.pressure_band_kpa || input.pressure_is_on_its_way)
        return {.condition = Condition::not_applicable};
    const auto pressure = current(input.now, Quantity::head_pressure);
    if (!pressure) return {};
    Evaluation found =
        against_band(Quantity::head_pressure, *pressure, *input.now.pressure_band_kpa, input.deadband);
    if (asks_for_too_much(input.now, found)) found.condition = Condition::not_applicable;
    return found;
}

Message out_of_band_raised(const MessageContext& context) {
    const bool low = context.evaluation.low_side;
    return {.title = headline(vessel_name(context.input),
                              (low ? ": pressure is low, " : ": pressure is high, ") + value_text(context)),
            .text = head_pressure_is(context) + (low ? ", below the stage's " : ", above the stage's ") +
                    limit_text(context) + ", " + since(context) + "."};
}

std::string out_of_band_aid(const MessageContext& context) {
    const Situation& now = context.input.now;
    std::string aid = "Check the spunding valve, the regulator and the cylinder.";
    if (limit_of(now)) aid += " Stay below what the vessel bears: " + ratings(now, context.display) + ".";
    return aid + " Never loosen a fitting under pressure.";
}

Message out_of_band_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": pressure is back at " + value_text(context)),
            .text = "Pressure is in its band again. " + lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "pressure_near_limit",
                  .meaning = "head pressure above 80, 90, 95, 100, 110 or 125 % of the lowest rated part, or "
                             "a further 25 %, or where the relief valve may open; raised at each step",
                  .priority = Priority::medium,
                  .safety = true},
         .escalates = true,
         .off_delay = parameters.limit_off_delay,
         .deadband = parameters.limit_deadband_kpa,
         .explained_by = {},
         .first_aid = pressure_care,
         .evaluate = near_limit,
         .raised = near_limit_raised,
         .returned = near_limit_returned,
         .first_aid_now = near_limit_aid},
    Rule{.info = {.name = "pressure_rising_to_limit",
                  .meaning = "at this rate the limit may be less than 2 h (high) or 30 min (critical) away",
                  .priority = Priority::high,
                  .safety = true},
         .escalates = true,
         .off_delay = parameters.rising_off_delay,
         .explained_by = {"pressure_near_limit", "relief_lifting"},
         .first_aid = pressure_care,
         .evaluate = rising_to_limit,
         .raised = rising_raised,
         .returned = rising_returned,
         .first_aid_now = rising_aid,
         .eased = rising_eased},
    Rule{.info = {.name = "pressure_below_vacuum_limit",
                  .meaning = "head pressure below what the vessel bears from outside",
                  .priority = Priority::critical,
                  .safety = true},
         .off_delay = parameters.vacuum_off_delay,
         .deadband = parameters.vacuum_deadband_kpa,
         .explained_by = {},
         .first_aid =
             "Stop cooling and stop drawing off. Let gas in gently through the gas inlet or the vent. Never "
             "loosen a fitting; keep clear of a vessel that has begun to buckle. Thin vessels may be rated "
             "for no "
             "vacuum at all: the plate decides.",
         .evaluate = below_vacuum_limit,
         .raised = vacuum_raised,
         .returned = vacuum_returned},
    Rule{.info = {.name = "pressure_out_of_band",
                  .meaning = "head pressure above or below the stage's pressure band",
                  .priority = Priority::medium,
                  .safety = false},
         .on_delay = parameters.band_on_delay,
         .off_delay = parameters.band_off_delay,
         .deadband = parameters.band_deadband_kpa,
         .explained_by = "pressure_near_limit",
         .first_aid = "Check the spunding valve, the regulator and the cylinder. Stay below what the relief "
                      "valve, the plate and the weakest fitting bear. Never loosen a fitting under pressure.",
         .evaluate = out_of_band,
         .raised = out_of_band_raised,
         .returned = out_of_band_returned,
         .first_aid_now = out_of_band_aid},
};

}  // namespace

std::span<const Rule> pressure_rules() {
    return rules;
}

}  // namespace gyled::alarms
