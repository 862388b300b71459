#include <algorithm>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// A threshold of the person's own: [[alarm]] with a quantity and above or below (or both).
namespace gyled::alarms {
namespace {

using base::headline;
using base::spoken;
using namespace std::chrono_literals;

struct OwnThresholdParameters {
    Duration on_delay = 5min;   ///< a single odd reading is over by then
    Duration off_delay = 1min;  ///< the deadband does the rest
};
constexpr OwnThresholdParameters parameters;

/// For a threshold whose person gives no deadband: above the noise of the usual instrument, below what
/// anybody would act on (common practice).
struct DeadbandParameters {
    double temperature_c = 0.3;      ///< a controller's swing
    double pressure_kpa = 3;         ///< a transducer's noise and drift
    double barometer_kpa = 0.5;      ///< an hour of weather
    double gravity = 0.001;          ///< SG: a point, what a float tells apart; per day for the rate
    double co2_volumes = 0.05;       ///< volumes: what a palate does not notice
    double battery_v = 0.05;         ///< V: the dip of one transmission
    double attenuation_percent = 1;  ///< percentage points: a point of gravity or less
    double alcohol_percent = 0.1;    ///< percentage points by volume: a point of gravity or less
    double air_percent = 1;          ///< percentage points: less than one purge of a head space moves
    double oxygen_ml = 5;            ///< mL: a breath of a litre of head space, some 2 %
    double volume_l = 0.5;           ///< L: a jug
    double signal_dbm = 3;           ///< dB: a door closed
};

std::optional<Latest> seen(const Situation& now, base::Quantity quantity) {
    if (base::is_measured(quantity)) return current(now, quantity);
    const auto value = believed(now, quantity);
    if (!value) return std::nullopt;
    return Latest{.value = *value, .at = now.at};
}

Evaluation evaluate(const EvaluationInput& input) {
    const RuleTuning& own = *input.own_threshold;
    const auto latest = seen(input.now, *own.quantity);
    if (!latest) return {};
    if (own.above && own.below)
        return against_band(*own.quantity, *latest, {.low = *own.below, .high = *own.above}, input.deadband);
    const double limit = own.above ? *own.above : *own.below;
    return {.condition = own.above ? above(latest->value, limit, input.deadband)
                                   : below(latest->value, limit, input.deadband),
            .at = latest->at,
            .value = latest->value,
            .limit = limit,
            .quantity = own.quantity,
            .low_side = !own.above};
}

Message raised(const MessageContext& context) {
    const RuleTuning& own = *context.input.own_threshold;
    const std::string figures = spoken(base::name(*own.quantity)) + " " + value_text(context) +
                                (context.evaluation.low_side ? ", below " : ", above ") + limit_text(context);
    return {.title = headline(vessel_name(context.input), ": " + (own.text.empty() ? figures : own.text)),
            .text = (own.text.empty() ? base::capitalised(figures) : own.text + ": " + figures) + " " +
                    since(context) + "."};
}

Message returned(const MessageContext& context) {
    const RuleTuning& own = *context.input.own_threshold;
    const std::string quantity = spoken(base::name(*own.quantity));
    return {.title = headline(vessel_name(context.input),
                              ": " + quantity + " has returned to " + value_text(context)),
            .text = (own.text.empty() ? base::capitalised(spoken(own.rule)) : own.text) +
                    ": returned to normal. " + lasted_and_worst(context)};
}

}  // namespace

const Rule& own_threshold_rule() {
    static constexpr Rule rule{.info = {.name = "",
                                        .meaning = "a threshold of your own",
                                        .priority = Priority::medium,
                                        .safety = false},
                               .on_delay = parameters.on_delay,
                               .off_delay = parameters.off_delay,
                               .explained_by = {},
                               .first_aid = {},
                               .evaluate = evaluate,
                               .raised = raised,
                               .returned = returned};
    return rule;
}

double usual_deadband(base::Quantity quantity) {
    using enum base::Quantity;
    constexpr DeadbandParameters usual;
    switch (quantity) {
        case beer_temperature:
        case jacket_temperature:
        case room_temperature:
            return usual.temperature_c;
        case head_pressure:
        case supply_pressure:
        case pressure_headroom:
        case warm_pressure:
        case crash_pressure:
        case closed_pressure:
            return usual.pressure_kpa;
        case barometric_pressure:
            return usual.barometer_kpa;
        case gravity:
        case gravity_now:
        case final_gravity:
        case closing_gravity:
        case gravity_rate:
            return usual.gravity;
        case co2_volumes:
        case co2_equilibrium_volumes:
        case residual_co2_potential:
            return usual.co2_volumes;
        case battery_voltage:
            return usual.battery_v;
        case apparent_attenuation:
        case real_attenuation:
            return usual.attenuation_percent;
        case alcohol_by_volume:
            return usual.alcohol_percent;
        case head_space_air:
            return usual.air_percent;
        case head_space_oxygen:
            return usual.oxygen_ml;
        case heated_volume:
            return usual.volume_l;
        case signal_strength:
            return usual.signal_dbm;
        case finish_time:
        case carbonated_time:
        case limit_time:
        case ready_time:
        case purge_cycles:
        case forced_final_gravity:
            break;
    }
    return 0;
}

}  // namespace gyled::alarms
