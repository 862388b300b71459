#include "daemon/alarms/evidence.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/relief.hpp"
#include "daemon/estimation/gas/gas_path.hpp"

namespace gyled::alarms {
namespace {

using estimation::gas::GasPath;

/// A valve that opens again and again does so within hours, until fermentation is nearly over.
constexpr Duration relief_opens_again_within = std::chrono::hours{12};
/// kPa below where it seats: somebody has let gas off, or the beer has been cooled.
constexpr double relief_room_kpa = 10;
constexpr double deadband_share_most = 0.25;  // of a band: half of it must remain to return to

estimation::gas::GasPathEvidence gas_path_evidence(const Situation& now, double head_kpa) {
    return {.head_space = now.head_space,
            .set_kpa = now.head_pressure_set_kpa,
            .head_kpa = head_kpa,
            .rise_kpa = {},
            .relief_kpa = now.relief_kpa,
            .limit_kpa = now.pressure_limit_kpa};
}

}  // namespace

std::optional<Latest> current(const Situation& now, base::Quantity quantity) {
    const auto found = now.latest.find(quantity);
    if (found == now.latest.end() || !std::isfinite(found->second.value)) return std::nullopt;
    if (now.at - found->second.at > found->second.stale_after) return std::nullopt;
    return found->second;
}

std::optional<base::Estimate> belief(const Situation& now, base::Quantity quantity) {
    const auto found = now.estimates.find(quantity);
    if (found == now.estimates.end()) return std::nullopt;
    const base::Estimate& estimate = found->second;
    if (std::isnan(estimate.value) || std::isnan(estimate.low) || std::isnan(estimate.high))
        return std::nullopt;
    return estimate;
}

std::optional<double> believed(const Situation& now, base::Quantity quantity) {
    const auto found = belief(now, quantity);
    return found ? std::optional{found->value} : std::nullopt;
}

std::optional<double> at_most(const Situation& now, base::Quantity quantity) {
    const auto found = now.estimates.find(quantity);
    if (found == now.estimates.end() || std::isnan(found->second.high)) return std::nullopt;
    return found->second.high;
}

bool all_silent(const Situation& now, base::Quantity quantity) {
    bool any = false;
    for (const SensorSilence& sensor : now.sensors) {
        if (sensor.quantity != quantity) continue;
        any = true;
        if (sensor.last_at && now.at - *sensor.last_at <= sensor.silent_after) return false;
    }
    return any;
}

bool rise_is_held(const Situation& now, double head_kpa) {
    return estimation::gas::rise_ends_at_set_point(gas_path_evidence(now, head_kpa));
}

std::optional<double> bearable_kpa(const Situation& now) {
    if (!now.pressure_limit_kpa || !(*now.pressure_limit_kpa > 0)) return std::nullopt;
    return brewing::bearable_kpa(*now.pressure_limit_kpa, now.relief_kpa);
}

std::optional<bool> is_shut(const Situation& now) {
    if (now.head_space == base::HeadSpace::sealed) return true;
    const auto head = current(now, base::Quantity::head_pressure);
    if (!head) return std::nullopt;
    const GasPath path = estimation::gas::gas_path(gas_path_evidence(now, head->value));
    return (path == GasPath::shut || path == GasPath::relieving) && !rise_is_held(now, head->value);
}

bool may_hold_pressure(const Situation& now) {
    if (now.stage && now.head_space != base::HeadSpace::vented) return true;
    const auto head = now.latest.find(base::Quantity::head_pressure);
    return head != now.latest.end() &&
           head->second.value > estimation::gas::GasPathParameters{}.vent_holds_kpa;
}

bool relief_is_lifting(const Situation& now) {
    if (!now.relief || now.relief->count < 1) return false;
    if (now.at - now.relief->last > relief_opens_again_within) return false;
    const auto head = current(now, base::Quantity::head_pressure);
    return !head || head->value > now.relief->reseats_kpa - relief_room_kpa;
}

Condition above(double value, double limit, double deadband) {
    if (value > limit) return Condition::beyond;
    return value <= limit - deadband ? Condition::within : Condition::eased;
}

Condition below(double value, double limit, double deadband) {
    return above(-value, -limit, deadband);
}

Evaluation against_band(base::Quantity quantity, const Latest& latest, const base::Band& band,
                        double deadband) {
    if (!(band.low <= band.high)) return {.condition = Condition::not_applicable, .at = latest.at};
    const bool low_side = latest.value - band.low <= band.high - latest.value;
    const double room = std::min(deadband, deadband_share_most * (band.high - band.low));
    return {
        .condition = low_side ? below(latest.value, band.low, room) : above(latest.value, band.high, room),
        .at = latest.at,
        .value = latest.value,
        .limit = low_side ? band.low : band.high,
        .quantity = quantity,
        .low_side = low_side};
}

}  // namespace gyled::alarms
