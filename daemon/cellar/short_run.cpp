#include "daemon/cellar/short_run.hpp"

#include <algorithm>

#include "daemon/alarms/evidence.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::cellar {
namespace {

using base::Quantity;

constexpr ShortRunParameters parameters;

/// Where the stage wants the beer: its end, or the nearer edge of the band that it has not reached yet.
std::optional<double> target_of(const batch::StagePlan& stage, double beer_c) {
    if (stage.end.temperature_c) return stage.end.temperature_c;
    if (!stage.temperature_c) return std::nullopt;
    if (beer_c < stage.temperature_c->low) return stage.temperature_c->low;
    if (beer_c > stage.temperature_c->high) return stage.temperature_c->high;
    return std::nullopt;
}

/// Where the rise of a shut vessel ends at the least; a regulator that creeps knows no end.
std::optional<double> yeast_ends_kpa(const alarms::Situation& situation) {
    const auto end = alarms::belief(situation, Quantity::closed_pressure);
    const bool is_yeast =
        situation.head_space != base::HeadSpace::supplied && alarms::is_shut(situation).value_or(false);
    return end && is_yeast ? std::optional{end->low} : std::nullopt;
}

}  // namespace

ShortRun::ShortRun(const batch::VesselSpec& vessel)
    : relief_mark_kpa_{vessel.relief_pressure_kpa}, heating_{{.heater_kw = vessel.heater_kw}} {}

void ShortRun::restore(const PressureMemory& memory) {
    relief_.restore(memory.relief);
    purge_.restore(memory.purge);
}

void ShortRun::set_volume(std::optional<double> litres) {
    heating_.set_litres(litres.value_or(0));
}

void ShortRun::add(Quantity quantity, base::Timestamp at, double gauge_value) {
    if (quantity == Quantity::head_pressure) {
        pressure_.add(at, gauge_value);
        relief_.add(at, gauge_value, relief_mark_kpa_);
        purge_.add(at, gauge_value);
    }
    if (quantity == Quantity::beer_temperature) {
        heating_.add(at, gauge_value);
        dough_in_.add(at, gauge_value);
    }
}

void ShortRun::shift(base::Duration by) {
    pressure_.shift(by);
    relief_.shift(by);
    purge_.shift(by);
    heating_.shift(by);
    dough_in_.shift(by);
}

void ShortRun::refresh(const alarms::Situation& situation, const batch::StagePlan* stage,
                       base::Estimates& estimates) const {
    for (const Quantity q :
         {Quantity::pressure_headroom, Quantity::limit_time, Quantity::ready_time, Quantity::heated_volume})
        estimates.erase(q);
    foresee_limit(situation, estimates);
    if (stage != nullptr) foresee_temperature(situation, *stage, estimates);
}

void ShortRun::foresee_limit(const alarms::Situation& situation, base::Estimates& estimates) const {
    const auto head = situation.latest.find(Quantity::head_pressure);
    if (!situation.pressure_limit_kpa || head == situation.latest.end()) return;
    const double room = *situation.pressure_limit_kpa - head->second.value;
    const double error = parameters.head_pressure_error_kpa;
    estimates[Quantity::pressure_headroom] = {room, room - error, room + error};
    if (!alarms::current(situation, Quantity::head_pressure) ||
        alarms::rise_is_held(situation, head->second.value))
        return;
    const auto when =
        pressure_.time_to(*situation.pressure_limit_kpa, yeast_ends_kpa(situation), settling(situation));
    if (when) estimates[Quantity::limit_time] = *when;
}

std::optional<estimation::trend::Settling> ShortRun::settling(const alarms::Situation& situation) const {
    const bool is_at_work =
        situation.stage == base::StageKind::ferment || situation.stage == base::StageKind::rest;
    const double head_l = situation.total_volume_l - situation.volume_l;
    if (situation.head_space != base::HeadSpace::sealed || !is_at_work || !situation.stage_since ||
        !(situation.volume_l > 0) || !(head_l > 0))
        return std::nullopt;
    const auto beer = alarms::current(situation, Quantity::beer_temperature);
    const auto before = pressure_.reading_before(*situation.stage_since);
    if (!beer || !before || *before > parameters.open_below_kpa) return std::nullopt;
    const double share = estimation::gas::sharing_in({situation.volume_l, head_l}, beer->value,
                                                     base::Pressure::from_kpa_absolute(situation.ambient_kpa))
                             .settled_share;
    const base::Timestamp newest = situation.latest.at(Quantity::head_pressure).at;
    return estimation::trend::Settling{
        .shut_h = std::max(0.0, base::hours_between(*situation.stage_since, newest)),
        .settles_h = estimation::gas::RiseParameters{}.settles_h,
        .share = {share, share / (1 + parameters.share_doubt),
                  std::min(1.0, share * (1 + parameters.share_doubt))}};
}

std::optional<estimation::gas::Rise> ShortRun::rise_since_shut(const alarms::Situation& situation) const {
    if (situation.head_space != base::HeadSpace::sealed || !situation.stage_since ||
        situation.at - *situation.stage_since > parameters.just_shut ||
        !alarms::current(situation, Quantity::head_pressure))
        return std::nullopt;
    const auto rate = pressure_.rate_since(*situation.stage_since);
    if (!rate) return std::nullopt;
    const double shut_h = base::hours_between(*situation.stage_since, *situation.stage_since + rate->window);
    return estimation::gas::Rise{rate->kpa_per_hour, rate->sigma, 0, shut_h / 2};
}

void ShortRun::foresee_temperature(const alarms::Situation& situation, const batch::StagePlan& stage,
                                   base::Estimates& estimates) const {
    const auto beer = alarms::current(situation, Quantity::beer_temperature);
    if (!beer) return;
    const auto target_c = target_of(stage, beer->value);
    if (!target_c) return;
    if (const auto when = heating_.time_to(*target_c)) estimates[Quantity::ready_time] = *when;
    if (const auto litres = heating_.heats_as_litres(); litres && *target_c > beer->value)
        estimates[Quantity::heated_volume] = *litres;
}

std::optional<base::Estimate> ShortRun::levels_off_c(const batch::StagePlan& stage) const {
    return stage.end.temperature_c ? heating_.levels_off_above(*stage.end.temperature_c) : std::nullopt;
}

alarms::Movement ShortRun::movement(const alarms::Situation& situation, const batch::StagePlan* stage) const {
    const auto slope = [](const auto& rate, double per_hour) { return alarms::Slope{per_hour, rate.sigma}; };
    alarms::Movement out;
    const auto beer = alarms::current(situation, Quantity::beer_temperature);
    const auto head = alarms::current(situation, Quantity::head_pressure);
    if (beer && stage != nullptr) out.target_c = target_of(*stage, beer->value);
    if (const auto rate = beer ? heating_.rate() : std::nullopt)
        out.temperature = slope(*rate, rate->c_per_hour);
    if (beer) out.warmest_c = heating_.warmest_c();
    if (!head) return out;
    if (const auto rate = pressure_.certain_rate()) out.pressure_rise = slope(*rate, rate->kpa_per_hour);
    if (head->value < parameters.near_empty_kpa)
        if (const auto rate = pressure_.certain_rate(true))
            out.pressure_fall = slope(*rate, rate->kpa_per_hour);
    if (!beer || beer->value < parameters.hot_c) return out;
    if (const auto before = pressure_.level_before()) {
        out.pressure_before_kpa = before->kpa;
        out.pressure_noise_kpa = before->noise_kpa;
    }
    return out;
}

}  // namespace gyled::cellar
