#include <algorithm>
#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"
#include "daemon/brewing/steam.hpp"
#include "daemon/brewing/vacuum.hpp"

// What pulls a vacuum before the gauge shows it: steam that condenses in a closed vessel, gas that cools and
// goes into the beer, beer that is drawn with the gas off. kPa gauge, degC.
namespace gyled::alarms {
namespace {

using base::headline;
using base::HeadSpace;
using base::Pressure;
using base::Quantity;
using base::StageKind;
using namespace std::chrono_literals;

struct CollapseParameters {
    // Steam.
    double hot_c = 50;  ///< from here on vapour is 12 kPa and more (steam tables): what condenses counts
    double hot_deadband_c = 2;   ///< a probe's scatter and the wort's layers
    double cooled_c = 20;        ///< where it ends when the stage says nothing: tap water, a cellar
    double cooling_c_per_h = 3;  ///< slower is a mash or tank that loses heat; hours are left
    double certain_sigmas = 3;   ///< by which it must be faster
    double poured_c = 4;  ///< or it has fallen by so much within a quarter of an hour: cold water went in
    double cooled_by_c = 0.4;   ///< a fall of the pressure goes with one of the temperature; at 95 degC steam
                                ///< makes 1.2 kPa of that, a probe's scatter is a tenth
    double target_below_c = 2;  ///< a stage that wants it colder by so much is about to cool it
    double fallen_kpa = 1.5;    ///< with a "vented" vessel: no weather and no draught within half an hour
    double fallen_noises = 5;   ///< ... and by so many sigmas of the transducer
    double fallen_most_share = 1.5;   ///< of what steam and gas explain, ...
    double fallen_most_kpa = 2;       ///< ... and this: what falls by more is a knock or another instrument
    double standing_share = 0.5;      ///< of the vacuum limit: so low it stands, however slowly it falls now
    Duration steam_off_delay = 5min;  ///< a vent that is being opened and shut again
    // Gas.
    double near_zero_kpa = 5;          ///< while beer is drawn: the last 0.05 bar go with a jug or two
    double drawn_on_h = 1;             ///< so long a party goes on; a leak slows down before
    Duration ahead_on_delay = 10min;   ///< cooling has just been begun: the gas may be about to be connected
    Duration ahead_off_delay = 30min;  ///< the belief moves by the hour
    double ahead_deadband_kpa = 2;     ///< the belief's scatter from hour to hour
};
constexpr CollapseParameters parameters;

/// A spunding valve lets nothing in; a regulator does.
bool keeps_air_out(HeadSpace mode) {
    return mode == HeadSpace::sealed || mode == HeadSpace::spunded;
}

double vacuum_limit(const Situation& now) {
    return brewing::bearable_vacuum_kpa(now.vacuum_limit_kpa);
}

std::string what_it_bears(const MessageContext& context) {
    const double limit = context.input.now.vacuum_limit_kpa;
    return limit < 0 ? "the vessel bears no less than " + context.display.text(Quantity::head_pressure, limit)
                     : "the vessel has no vacuum rating: keep it above 0";
}

/// A chill is a cooling, also where the plan does not say how far.
bool is_to_be_cooled(const Situation& now, double beer_c) {
    if (!now.movement.target_c) return now.stage == StageKind::chill && beer_c > parameters.cooled_c;
    return *now.movement.target_c < beer_c - parameters.target_below_c;
}

bool is_cooling(const Situation& now, double beer_c) {
    const auto& slope = now.movement.temperature;
    if (now.movement.warmest_c && *now.movement.warmest_c - beer_c > parameters.poured_c) return true;
    return slope && slope->per_hour + parameters.certain_sigmas * slope->sigma < -parameters.cooling_c_per_h;
}

// ---- steam

/// Where the cooling ends.
double cooled_c(const Situation& now, double beer_c) {
    const bool says = now.movement.target_c && *now.movement.target_c < beer_c;
    return says ? *now.movement.target_c : std::min(beer_c, parameters.cooled_c);
}

/// Shut as it stands and cooled so far, gauge.
double end_kpa(const Situation& now, double beer_c, double head_kpa, double celsius) {
    const auto air = Pressure::from_kpa_absolute(now.ambient_kpa);
    return brewing::pressure_after_condensing({beer_c, Pressure::from_kpa_gauge(head_kpa, air)}, celsius)
        .kpa_gauge(air);
}

/// An open vent keeps the gauge where it was. Has it fallen, by no more than steam and gas explain?
bool falls_as_steam_would(const Situation& now, double beer_c, double head_kpa) {
    const Movement& moves = now.movement;
    if (!moves.pressure_before_kpa || !moves.warmest_c) return false;
    const double before_kpa = *moves.pressure_before_kpa;
    const double fallen = before_kpa - head_kpa;
    const double least = std::max(parameters.fallen_kpa, parameters.fallen_noises * moves.pressure_noise_kpa);
    const double explained = before_kpa - end_kpa(now, *moves.warmest_c, before_kpa, beer_c);
    return *moves.warmest_c - beer_c > parameters.cooled_by_c && head_kpa < parameters.near_zero_kpa &&
           fallen > least && fallen < parameters.fallen_most_share * explained + parameters.fallen_most_kpa;
}

/// Hot, and it would collapse if it were shut: is it?
Condition shut_and_cooling(const Situation& now, double beer_c, const std::optional<Latest>& head) {
    if (keeps_air_out(now.head_space) && (is_to_be_cooled(now, beer_c) || is_cooling(now, beer_c)))
        return Condition::beyond;
    if (!head) return now.latest.contains(Quantity::head_pressure) ? Condition::unknown : Condition::within;
    if (falls_as_steam_would(now, beer_c, head->value)) return Condition::beyond;
    const bool stands_low = head->value < parameters.standing_share * vacuum_limit(now);
    return stands_low || keeps_air_out(now.head_space) ? Condition::eased : Condition::within;
}

Evaluation steam_collapse(const EvaluationInput& input) {
    const Situation& now = input.now;
    const auto beer = current(now, Quantity::beer_temperature);
    if (!beer) return {};
    const auto head = current(now, Quantity::head_pressure);
    const double head_kpa = head ? head->value : 0;
    const double end = end_kpa(now, beer->value, head_kpa, cooled_c(now, beer->value));
    Evaluation found{.condition = above(beer->value, parameters.hot_c, input.deadband),
                     .at = head ? std::max(beer->at, head->at) : beer->at,
                     .value = end,
                     .limit = vacuum_limit(now),
                     .quantity = Quantity::crash_pressure,
                     .low_side = true};
    if (found.condition == Condition::within) return found;
    const Condition shut = end < *found.limit ? shut_and_cooling(now, beer->value, head) : Condition::within;
    found.condition =
        found.condition == Condition::eased && shut == Condition::beyond ? Condition::eased : shut;
    return found;
}

Message steam_raised(const MessageContext& context) {
    const Situation& now = context.input.now;
    const double beer_c = now.latest.at(Quantity::beer_temperature).value;
    const double end_c = cooled_c(now, beer_c);
    const auto degrees = [&](double c) { return context.display.text(Quantity::beer_temperature, c); };
    const double steam_kpa = brewing::saturation_pressure(end_c).kpa_absolute() - now.ambient_kpa;
    std::string text = keeps_air_out(now.head_space) ? "Closed at " + degrees(beer_c) + ": "
                                                     : "Head pressure falls as it cools from " +
                                                           degrees(beer_c) + ", so no air gets in: ";
    text += "steam becomes water within minutes, and at " + degrees(end_c) + " the vessel would end at " +
            value_text(context) + ", down to " + context.display.text(Quantity::crash_pressure, steam_kpa) +
            " if it held steam alone; " + what_it_bears(context) + ".";
    return {.title = headline(vessel_name(context.input), ": closed and hot, cooling would collapse it"),
            .text = text};
}

Message steam_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": no longer closed and hot"),
            .text = "The steam in it no longer pulls a vacuum. " + lasted_and_worst(context)};
}

// ---- gas

/// Beer that is drawn with the gas off: the pressure falls, nothing follows, and it will not stop at 0 as a
/// leak does.
bool is_drawn_dry(const Situation& now, double head_kpa) {
    const auto& fall = now.movement.pressure_fall;
    return now.stage == StageKind::serve && now.head_space != HeadSpace::vented && fall &&
           head_kpa < parameters.near_zero_kpa &&
           head_kpa + fall->per_hour * parameters.drawn_on_h < vacuum_limit(now);
}

/// Shut as it stands and cooled to the stage's end: yeast has done its work, and the beer takes up the gas
/// above it; wort and water take up none.
std::optional<double> cooled_kpa(const Situation& now) {
    const auto beer = current(now, Quantity::beer_temperature);
    const auto head = current(now, Quantity::head_pressure);
    if (!beer || !head || !is_to_be_cooled(now, beer->value)) return std::nullopt;
    if (beer->value > parameters.hot_c) return std::nullopt;  // steam_collapse tells of it
    const double end_c = cooled_c(now, beer->value);
    if (!now.stage || !base::is_cold_side(*now.stage)) return end_kpa(now, beer->value, head->value, end_c);
    const auto air = Pressure::from_kpa_absolute(now.ambient_kpa);
    return brewing::pressure_after({.beer_litres = now.volume_l,
                                    .headspace_litres = std::max(0.0, now.total_volume_l - now.volume_l)},
                                   {beer->value, Pressure::from_kpa_gauge(head->value, air)}, end_c)
        .kpa_gauge(air);
}

/// Yeast at work makes gas faster than cooling takes it.
bool is_at_work(const Situation& now) {
    return now.stage == StageKind::ferment || now.stage == StageKind::rest;
}

/// The pressure that is ahead; nothing when nobody knows, or nothing cools.
std::optional<double> pressure_ahead(const Situation& now) {
    if (now.stage == StageKind::crash) return believed(now, Quantity::crash_pressure);
    return cooled_kpa(now);
}

/// A vessel that its maker gives no vacuum may be lost by any.
Priority vacuum_urgency(const Situation& now) {
    return now.vacuum_limit_kpa < 0 ? Priority::medium : Priority::high;
}

Evaluation vacuum_ahead(const EvaluationInput& input) {
    const Situation& now = input.now;
    const auto head = current(now, Quantity::head_pressure);
    if (head && is_drawn_dry(now, head->value))
        return {.condition = Condition::beyond,
                .at = head->at,
                .value = head->value,
                .limit = vacuum_limit(now),
                .quantity = Quantity::head_pressure,
                .low_side = true,
                .urgency = vacuum_urgency(now)};
    const bool may_draw = now.stage == StageKind::serve && now.head_space == HeadSpace::supplied;
    if (!now.stage || is_at_work(now) || (!keeps_air_out(now.head_space) && !may_draw))
        return {.condition = Condition::not_applicable};
    if (may_draw) return {.condition = head ? Condition::within : Condition::unknown, .at = now.at};
    if (all_silent(now, Quantity::head_pressure)) return {};
    const auto ahead = pressure_ahead(now);
    if (!ahead)
        return {.condition = now.stage == StageKind::crash ? Condition::unknown : Condition::within,
                .at = now.at};
    return {.condition = below(*ahead, vacuum_limit(now), input.deadband),
            .at = now.at,
            .value = ahead,
            .limit = vacuum_limit(now),
            .quantity = Quantity::crash_pressure,
            .low_side = true,
            .urgency = vacuum_urgency(now)};
}

Message vacuum_ahead_raised(const MessageContext& context) {
    if (context.evaluation.quantity == Quantity::head_pressure)
        return {.title = headline(vessel_name(context.input), ": drawing with the gas off, vacuum next"),
                .text = "Head pressure is down to " + value_text(context) +
                        " and falls: beer that leaves without gas to follow pulls a vacuum, and " +
                        what_it_bears(context) + "."};
    const bool beer = context.input.now.stage && base::is_cold_side(*context.input.now.stage);
    return {.title = headline(vessel_name(context.input), ": cooling will pull a vacuum"),
            .text = std::string{beer ? "Cold beer takes up gas for days: head"
                                     : "Gas shrinks and vapour condenses as it cools: head"} +
                    " pressure would end near " + value_text(context) + ", and " + what_it_bears(context) +
                    "."};
}

Message vacuum_ahead_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": no vacuum ahead any more"),
            .text = "Head pressure will stay above the vacuum limit. " + lasted_and_worst(context)};
}

// ---- caustic

Evaluation caustic_on_co2(const EvaluationInput& input) {
    const Situation& now = input.now;
    if (now.stage != StageKind::clean) return {.condition = Condition::not_applicable};
    return {.condition = now.found_co2 ? Condition::beyond : Condition::within,
            .at = now.at,
            .urgency = keeps_air_out(now.head_space) ? Priority::critical : Priority::high};
}

Message caustic_raised(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": caustic would take up the CO2 in it"),
            .text =
                "The vessel may still hold CO2. Caustic takes that up within minutes and pulls a vacuum, "
                "also through a small vent; " +
                what_it_bears(context) + "."};
}

Message caustic_returned(const MessageContext& context) {
    return {.title = headline(vessel_name(context.input), ": no caustic on CO2 any more"),
            .text = "The stages entered say that it holds no CO2. " + lasted_and_worst(context)};
}

constexpr std::array rules{
    Rule{.info = {.name = "steam_collapse",
                  .meaning =
                      "closed above 50 degC and cooling: the steam in it would pull a vacuum in minutes",
                  .priority = Priority::critical,
                  .safety = true},
         .off_delay = parameters.steam_off_delay,
         .deadband = parameters.hot_deadband_c,
         .explained_by = {},
         .first_aid =
             "Stop cooling now. Open the vent to filtered air, or connect CO2 at low pressure, before it "
             "cools further; if it still holds pressure, let that off first through the part made for it, "
             "and stand clear: steam scalds. Never spray cold water into a closed hot vessel. Keep away "
             "from one that has begun to buckle. The vessel's plate decides what it bears; many are rated "
             "for no vacuum at all.",
         .evaluate = steam_collapse,
         .raised = steam_raised,
         .returned = steam_returned},
    Rule{.info = {.name = "vacuum_ahead",
                  .meaning = "closed and to be cooled, or drawn with the gas off: it would end below the "
                             "vacuum limit",
                  .priority = Priority::medium,
                  .safety = false},
         .on_delay = parameters.ahead_on_delay,
         .off_delay = parameters.ahead_off_delay,
         .deadband = parameters.ahead_deadband_kpa,
         .explained_by = "pressure_below_vacuum_limit",
         .first_aid =
             "Connect CO2 at low pressure, within the vessel's rating, before it cools further or more "
             "is drawn. No gas at hand: stop cooling, stop drawing. Thin "
             "vessels may be rated for no vacuum at all.",
         .evaluate = vacuum_ahead,
         .raised = vacuum_ahead_raised,
         .returned = vacuum_ahead_returned},
    Rule{.info = {.name = "caustic_on_co2",
                  .meaning = "cleaning begins in a vessel that may be full of CO2: caustic takes it up and "
                             "pulls a vacuum",
                  .priority = Priority::high,
                  .safety = true},
         .explained_by = {},
         .first_aid = "Blow the CO2 out with filtered air, the vessel wide open, before any caustic goes in. "
                      "Open doors: "
                      "CO2 lies low and has no smell. Keep the vent open while you "
                      "clean. No air at hand: use an acid cleaner, never both together. Goggles and gloves: "
                      "caustic burns.",
         .evaluate = caustic_on_co2,
         .raised = caustic_raised,
         .returned = caustic_returned},
};

}  // namespace

std::span<const Rule> collapse_rules() {
    return rules;
}

}  // namespace gyled::alarms
