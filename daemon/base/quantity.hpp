#pragma once
/// The names of what is measured and what is estimated: the same word in configuration, API, database and
/// metrics.

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace gyled::base {

/// Canonical units, used everywhere inside: temperatures degC; gravity SG 20/20; head_pressure,
/// supply_pressure and the pressure outlooks kPa gauge; barometric_pressure kPa absolute; CO2 in volumes (1
/// vol = 1.977 g/L at 0 degC and 101.325 kPa); gravity_rate SG per day (negative while fermenting);
/// attenuations and alcohol in
/// percent; head_space_air percent of the gas above the beer, head_space_oxygen mL of it at 0 degC and
/// 101.325 kPa; volumes of liquid L; moments (`is_moment`) in Unix seconds; battery V; signal dBm.
enum class Quantity : std::uint8_t {
    // measured; the order is part of the database: append only
    beer_temperature,
    jacket_temperature,
    room_temperature,
    gravity,
    head_pressure,
    barometric_pressure,
    supply_pressure,
    battery_voltage,
    signal_strength,
    // estimated
    gravity_now = 32,
    gravity_rate,
    final_gravity,
    finish_time,
    apparent_attenuation,
    real_attenuation,
    alcohol_by_volume,
    co2_volumes,
    co2_equilibrium_volumes,
    carbonated_time,
    pressure_headroom,
    limit_time,
    warm_pressure,
    crash_pressure,
    residual_co2_potential,
    ready_time,
    closed_pressure,
    closing_gravity,
    head_space_air,
    head_space_oxygen,
    purge_cycles,          ///< counted by a person, or by us from the gauge: an event, no state
    heated_volume,         ///< L, as which the contents warm up under the heater's power
    forced_final_gravity,  ///< where a warm sample with much yeast ended: read by a person
};

[[nodiscard]] std::string_view name(Quantity q);
[[nodiscard]] std::optional<Quantity> quantity_named(std::string_view name);
/// Every quantity, measured first.
[[nodiscard]] std::span<const Quantity> all_quantities();

[[nodiscard]] constexpr bool is_measured(Quantity q) {
    return static_cast<int>(q) < 32;
}
[[nodiscard]] constexpr bool is_moment(Quantity q) {
    return q == Quantity::finish_time || q == Quantity::carbonated_time || q == Quantity::limit_time ||
           q == Quantity::ready_time;
}
/// The canonical unit as text, for people and for the database: "degC", "SG", "kPa", "vol", "%", "SG/d", "s"
/// ...
[[nodiscard]] std::string_view unit(Quantity q);

}  // namespace gyled::base
