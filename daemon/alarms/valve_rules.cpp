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
};
constexpr ValveParameters parameters;

Evaluation vent_blocked(const EvaluationInput& input) {
    if (!input.now.stage || input.now.head_space != base::HeadSpace::vented)
        return {.condition = Condition::not_applicable};
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

constexpr std::array rules{
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
