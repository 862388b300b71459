#include <algorithm>
#include <array>

#include "daemon/alarms/evidence.hpp"
#include "daemon/alarms/messages.hpp"
#include "daemon/base/text.hpp"

// The watch over the watch: are we still hearing anything?
namespace gyled::alarms {
namespace {

using base::headline;
using base::Quantity;
using base::StageKind;
using namespace std::chrono_literals;

struct WatchParameters {
    Duration broker_on_delay = 2min;  ///< a broker's restart or a router's is over by then
    Duration broker_off_delay = 30s;  ///< a connection that flaps is not back
};
constexpr WatchParameters parameters;

Evaluation broker_lost(const EvaluationInput& input) {
    return {.condition = input.now.broker_connected ? Condition::within : Condition::beyond,
            .at = input.now.at};
}

Message broker_lost_raised(const MessageContext& context) {
    return {.title = "Broker out of reach: nothing is being watched",
            .text = "No connection to the broker for " + display::duration_text(context.lasted) +
                    "; no vessel is watched until it returns."};
}

Message broker_lost_returned(const MessageContext& context) {
    return {.title = "Broker is back",
            .text = "The watch goes on. Lost for " + display::duration_text(context.lasted) + "."};
}

/// A hydrometer lies in a drawer until the wort is pitched, and again once the beer is clear.
bool is_in_the_beer(const Situation& now) {
    return !now.stage || *now.stage == StageKind::ferment || *now.stage == StageKind::rest ||
           *now.stage == StageKind::crash;
}

/// What must be heard here and now. Under pressure the gauge, also without a batch; from the mash to the
/// chill, with the lid off, no gauge. Battery and signal come with another quantity, whose silence says
/// enough.
bool is_needed(const Situation& now, Quantity quantity) {
    if (quantity == Quantity::head_pressure && may_hold_pressure(now)) return true;
    if (!now.batch_name) return false;
    switch (quantity) {
        case Quantity::battery_voltage:
        case Quantity::signal_strength:
            return false;
        case Quantity::gravity:
            return is_in_the_beer(now);
        case Quantity::head_pressure:
            return !now.stage || base::is_cold_side(*now.stage);
        default:
            return true;
    }
}

Priority urgency(const Situation& now, Quantity quantity) {
    if (quantity == Quantity::head_pressure && may_hold_pressure(now)) return Priority::high;
    if (quantity == Quantity::beer_temperature || quantity == Quantity::gravity ||
        quantity == Quantity::head_pressure)
        return Priority::medium;
    return Priority::low;
}

/// Since when it could have spoken and was wanted: not before the stage began, nor while nobody could hear.
Timestamp expected_since(const EvaluationInput& input, const SensorSilence& sensor) {
    Timestamp since = std::max(sensor.last_at.value_or(sensor.watched_since), input.listening_since);
    if (input.now.stage_since) since = std::max(since, *input.now.stage_since);
    return since;
}

bool is_silent(const EvaluationInput& input, const SensorSilence& sensor) {
    return input.now.at - expected_since(input, sensor) > sensor.silent_after;
}

Evaluation sensor_silent(const EvaluationInput& input) {
    const SensorSilence& sensor = *input.sensor;
    if (!is_needed(input.now, sensor.quantity) || sensor.silent_after <= Duration::zero())
        return {.condition = Condition::not_applicable};
    Evaluation found{
        .condition = Condition::unknown, .at = input.now.at, .urgency = urgency(input.now, sensor.quantity)};
    if (is_silent(input, sensor))
        found.condition = Condition::beyond;
    else if (sensor.last_at && input.now.at - *sensor.last_at <= sensor.silent_after)
        found.condition = Condition::within;
    return found;
}

Message sensor_silent_raised(const MessageContext& context) {
    const SensorSilence& sensor = *context.input.sensor;
    std::string text = "Nothing from " + sensor.sensor;
    if (sensor.last_at)
        text += " since " + context.display.local(*sensor.last_at);
    else
        text += " since the watch began";
    std::string others;
    for (const SensorSilence& other : context.input.now.sensors)
        if (&other != &sensor && is_needed(context.input.now, other.quantity) &&
            is_silent(context.input, other))
            others += (others.empty() ? "" : ", ") + other.sensor;
    if (!others.empty()) text += "; silent too: " + others;
    return {.title = headline(vessel_name(context.input),
                              ": no " + base::spoken(base::name(sensor.quantity)) + " readings"),
            .text = text + ". Alarms that need it cannot work until it is back."};
}

std::string sensor_silent_aid(const MessageContext& context) {
    const bool is_gauge = context.input.sensor->quantity == Quantity::head_pressure;
    return std::string{is_gauge ? "Read the vessel's own gauge now, and again until the sensor reports."
                                : "Look at the vessel yourself until the sensor reports again."} +
           " Check its power and its way to the network.";
}

Message sensor_silent_returned(const MessageContext& context) {
    const SensorSilence& sensor = *context.input.sensor;
    return {.title = headline(vessel_name(context.input),
                              ": " + base::spoken(base::name(sensor.quantity)) + " is reporting again"),
            .text = sensor.sensor + " is reporting again after " + display::duration_text(context.lasted) +
                    " of silence."};
}

constexpr std::array rules{
    Rule{.info = {.name = "broker_lost",
                  .meaning = "no connection to the broker: nothing is being watched",
                  .priority = Priority::high,
                  .safety = false},
         .about = Rule::About::watch,
         .on_delay = parameters.broker_on_delay,
         .off_delay = parameters.broker_off_delay,
         .explained_by = {},
         .first_aid = "Look at the vessels yourself until it is back. Check the broker and the network.",
         .evaluate = broker_lost,
         .raised = broker_lost_raised,
         .returned = broker_lost_returned},
    Rule{.info =
             {.name = "sensor_silent",
              .meaning =
                  "a sensor that this stage, or a vessel under pressure, needs has been silent for too long",
              .priority = Priority::medium,
              .safety = false},
         .about = Rule::About::each_sensor,
         .explained_by = {},
         .first_aid =
             "Look at the vessel yourself until it reports again. Check its power and its way to the "
             "network.",
         .evaluate = sensor_silent,
         .raised = sensor_silent_raised,
         .returned = sensor_silent_returned,
         .first_aid_now = sensor_silent_aid},
};

}  // namespace

std::span<const Rule> watch_rules() {
    return rules;
}

}  // namespace gyled::alarms
