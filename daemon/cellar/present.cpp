#include "daemon/cellar/present.hpp"

#include <algorithm>

#include "daemon/alarms/evidence.hpp"
#include "daemon/batch/contents.hpp"
#include "daemon/batch/plate.hpp"
#include "daemon/brewing/atmosphere.hpp"

namespace gyled::cellar {
namespace {

using base::Duration;
using base::Quantity;
using base::Timestamp;

bool is_gas_pressure(Quantity q) {
    return q == Quantity::head_pressure || q == Quantity::supply_pressure;
}

std::optional<alarms::PlanDanger> danger_of(const batch::Findings& found, std::size_t stage) {
    const auto first = std::ranges::find(found, batch::Severity::dangerous, &batch::Finding::severity);
    if (first == found.end()) return std::nullopt;
    return alarms::PlanDanger{first->text, first->stage.value_or(stage) == stage};
}

}  // namespace

Present::Present(const batch::VesselSpec& vessel, std::vector<ExpectedSensor> sensors, double elevation_m)
    : vessel_{vessel},
      site_air_{brewing::atmosphere_at(elevation_m)},
      ambient_{site_air_},
      expected_{std::move(sensors)},
      cadences_(expected_.size()) {
    situation_.vessel = vessel.id;
    situation_.vessel_name = vessel.name;
    situation_.pressure_limit_kpa = vessel.lowest_limit_kpa();
    situation_.relief_kpa = vessel.relief_pressure_kpa;
    situation_.plate_kpa = vessel.working_pressure_kpa;
    situation_.fitting_kpa = vessel.weakest_fitting_kpa;
    situation_.vacuum_limit_kpa = vessel.vacuum_limit_kpa;
    situation_.total_volume_l = vessel.total_volume_l;
    situation_.room_m3 = vessel.room_m3;
    situation_.ambient_kpa = site_air_.kpa_absolute();
    for (const ExpectedSensor& sensor : expected_)
        situation_.sensors.push_back({sensor.id, sensor.quantity, std::nullopt, Timestamp{}, Duration{}});
    for (std::size_t i = 0; i < expected_.size(); ++i) refresh_silence(i);
}

void Present::set_ambient(double kpa_absolute) {
    ambient_ = base::Pressure::from_kpa_absolute(kpa_absolute);
    situation_.ambient_kpa = kpa_absolute;
}

double Present::gauge_value(const sensors::Reading& reading) const {
    if (!reading.absolute || !is_gas_pressure(reading.quantity)) return reading.value;
    return base::Pressure::from_kpa_absolute(reading.value).kpa_gauge(ambient_);
}

void Present::note(const std::string& sensor, Quantity quantity, Timestamp at, double gauge_value) {
    for (std::size_t i = 0; i < expected_.size(); ++i) {
        auto& heard = situation_.sensors[i];
        if (heard.sensor != sensor) continue;
        heard.last_at = std::max(heard.last_at.value_or(at), at);
        cadences_[i].note(at);
        refresh_silence(i);
    }
    note_latest(quantity, at, gauge_value);
}

void Present::note_doubted(Quantity quantity, Timestamp at, double gauge_value) {
    note_latest(quantity, at, gauge_value);
}

void Present::note_latest(Quantity quantity, Timestamp at, double gauge_value) {
    alarms::Latest& latest = situation_.latest[quantity];
    if (at < latest.at) return;
    latest = {gauge_value, at, stale_after(quantity)};
    if (quantity == Quantity::head_pressure) refresh_silence_of_pressure();
}

void Present::refresh_silence(std::size_t index) {
    base::FreshnessParameters patience;
    if (expected_[index].quantity == Quantity::head_pressure && alarms::may_hold_pressure(situation_))
        patience.unlearnt = patience.unlearnt_under_pressure;
    situation_.sensors[index].silent_after =
        expected_[index].silent_after.value_or(cadences_[index].silent_after(patience));
}

/// How long silence is borne depends on what the vessel holds.
void Present::refresh_silence_of_pressure() {
    for (std::size_t i = 0; i < expected_.size(); ++i)
        if (expected_[i].quantity == Quantity::head_pressure) refresh_silence(i);
    const auto latest = situation_.latest.find(Quantity::head_pressure);
    if (latest != situation_.latest.end()) latest->second.stale_after = stale_after(Quantity::head_pressure);
}

/// The slowest sensor of a quantity decides; one read by hand or unknown has the patience of an unlearnt one.
Duration Present::stale_after(Quantity quantity) const {
    Duration patience{};
    for (const auto& sensor : situation_.sensors)
        if (sensor.quantity == quantity) patience = std::max(patience, sensor.silent_after);
    return patience > Duration{} ? patience : base::FreshnessParameters{}.unlearnt;
}

void Present::set_batch(const batch::Record& record, const batch::Findings& found) {
    const auto& entered = record.stages.back();
    const batch::StagePlan& stage = record.plan.stages.at(entered.index);
    situation_.batch_name = record.plan.name;
    situation_.volume_l = record.plan.volume_l;
    situation_.original_gravity = record.plan.original_gravity;
    situation_.is_filled = batch::contents(record).liquid;
    situation_.found_co2 = batch::contents_found(record).co2;
    situation_.stage = stage.kind;
    situation_.stage_since = entered.at;
    situation_.head_space = stage.head_space;
    situation_.head_pressure_set_kpa = stage.head_pressure_kpa;
    situation_.temperature_band_c = stage.temperature_c;
    situation_.pressure_band_kpa = batch::bearable_band(stage, vessel_);
    situation_.facts = record.facts;
    situation_.plan_danger = danger_of(found, entered.index);
    refresh_silence_of_pressure();
}

void Present::clear_batch() {
    situation_.batch_name.reset();
    situation_.volume_l = 0;
    situation_.original_gravity.reset();
    situation_.co2_given_off_l.reset();
    situation_.is_filled = situation_.found_co2 = false;
    situation_.stage.reset();
    situation_.stage_since.reset();
    situation_.head_space = base::HeadSpace::vented;
    situation_.head_pressure_set_kpa.reset();
    situation_.temperature_band_c.reset();
    situation_.pressure_band_kpa.reset();
    situation_.facts.clear();
    situation_.plan_danger.reset();
    situation_.estimates.clear();
    refresh_silence_of_pressure();
}

void Present::set_estimates(Timestamp at, base::Estimates estimates) {
    estimates_at_ = at;
    situation_.estimates = std::move(estimates);
}

void Present::set_time(Timestamp now) {
    situation_.at = now;
    for (auto& sensor : situation_.sensors)
        if (sensor.watched_since == Timestamp{}) sensor.watched_since = now;
}

void Present::set_clock(const base::ClockSet& set) {
    for (auto& [quantity, latest] : situation_.latest) set.rename(latest.at);
    for (auto& sensor : situation_.sensors) {
        set.rename(sensor.last_at);
        set.rename(sensor.watched_since);
    }
    for (auto& cadence : cadences_) set.rename(cadence.last);
    set.rename(estimates_at_);
}

std::optional<double> Present::fresh(Quantity quantity, Timestamp since) const {
    const auto found = situation_.latest.find(quantity);
    if (found == situation_.latest.end()) return std::nullopt;
    const alarms::Latest& latest = found->second;
    if (latest.at < since || situation_.at - latest.at > latest.stale_after) return std::nullopt;
    return latest.value;
}

void Present::save(VesselState& state) const {
    state.latest = situation_.latest;
    for (std::size_t i = 0; i < expected_.size(); ++i)
        state.sensors.push_back({expected_[i].id, situation_.sensors[i].last_at,
                                 situation_.sensors[i].watched_since, cadences_[i]});
    if (has_barometer()) state.ambient_kpa = ambient_.kpa_absolute();
}

void Present::restore(const VesselState& state) {
    for (const SensorMemory& memory : state.sensors)
        for (std::size_t i = 0; i < expected_.size(); ++i) {
            if (expected_[i].id != memory.sensor) continue;
            situation_.sensors[i].last_at = memory.last_at;
            situation_.sensors[i].watched_since = memory.watched_since;
            cadences_[i] = memory.cadence;
            refresh_silence(i);
        }
    situation_.latest = state.latest;
    refresh_silence_of_pressure();
    if (state.ambient_kpa) set_ambient(*state.ambient_kpa);
}

}  // namespace gyled::cellar
