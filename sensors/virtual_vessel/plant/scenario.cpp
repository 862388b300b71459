#include "sensors/virtual_vessel/plant/scenario.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace gyled::virtual_vessel {
namespace {

struct TroubleName {
    TroubleKind kind;
    std::string_view name;
};
constexpr std::array trouble_names{
    TroubleName{TroubleKind::stuck, "stuck"},
    TroubleName{TroubleKind::chiller_failure, "chiller-failure"},
    TroubleName{TroubleKind::heater_failure, "heater-failure"},
    TroubleName{TroubleKind::shut_vent, "shut-vent"},
    TroubleName{TroubleKind::shut_supply, "shut-supply"},
    TroubleName{TroubleKind::leak, "leak"},
    TroubleName{TroubleKind::sensor_dropout, "sensor-dropout"},
    TroubleName{TroubleKind::late_creep, "late-creep"},
};

class Mistakes {
public:
    void unless(bool fine, std::string sentence) {
        if (!fine) found.push_back(std::move(sentence));
    }
    std::vector<std::string> found;
};

/// False for NaN.
bool within(double value, double low, double high) {
    return value >= low && value <= high;
}

void check_vessel(const Scenario& s, Mistakes& m) {
    const VesselOptions& v = s.vessel;
    m.unless(within(v.total_volume_l, 1, 10'000), "the vessel must hold 1 to 10000 L");
    m.unless(within(s.volume_l, 0.5, 0.98 * v.total_volume_l),
             "the beer must be at least 0.5 L and leave 2 % of the vessel as head space");
    m.unless(within(v.volume_error, 0, 0.05), "the volume error must be within 0 and 0.05");
    m.unless(within(v.working_pressure_kpa, 0, 1000), "the working pressure must be 0 to 1000 kPa gauge");
    m.unless(within(v.relief_pressure_kpa, 1, 1000), "the relief valve must open at 1 to 1000 kPa gauge");
    m.unless(within(v.elevation_m, -400, 5000), "the elevation must be -400 to 5000 m");
    m.unless(within(v.weather_kpa, 0, 5), "the weather must swing by 0 to 5 kPa");
    m.unless(within(v.room_c, -10, 45), "the room must be at -10 to 45 degC");
    m.unless(within(v.room_swing_c, 0, 15), "the room must swing by 0 to 15 degC");
    m.unless(within(v.chiller_w, 0, 20'000) && within(v.jacket_heater_w, 0, 20'000) &&
                 within(v.element_w, 0, 50'000),
             "chiller, jacket heater and element must have a power of 0 W to some kW");
    m.unless(within(v.thermostat_band_c, 0.05, 5), "the thermostat's band must be 0.05 to 5 degC");
    m.unless(within(v.leak_mmol_per_h_kpa, 0, 100), "the leak must be 0 to 100 mmol/(h kPa)");
    m.unless(within(v.solubility_factor.value_or(0.95), 0.8, 1.05),
             "the solubility factor must be 0.8 to 1.05");
    m.unless(within(v.still_kla_per_h.value_or(0.0125), 0.0001, 10),
             "the still kLa must be 0.0001 to 10 per hour");
}

void check_stages(const Scenario& s, Mistakes& m) {
    m.unless(!s.stages.empty() && s.stages.front().start_hours == 0, "the first stage must start at 0 h");
    for (std::size_t i = 0; i < s.stages.size(); ++i) {
        const Stage& stage = s.stages[i];
        const std::string which = "stage " + std::to_string(i + 1) + ": ";
        m.unless(within(stage.start_hours, 0, 1e5), which + "must start within 0 and 100000 h");
        m.unless(i == 0 || stage.start_hours > s.stages[i - 1].start_hours,
                 which + "must start after the one before");
        m.unless(within(stage.temperature_c, -5, 105), which + "must be at -5 to 105 degC");
        m.unless(within(stage.ramp_c_per_hour, 0, 1000), which + "must ramp by 0 to 1000 degC an hour");
        m.unless(within(stage.head_pressure_kpa, 0, 600), which + "must hold 0 to 600 kPa gauge");
        m.unless(stage.temperature_c <= 90 || stage.head_space == HeadSpace::vented,
                 which + "no heat above 90 degC in a vessel that is not open to the air");
        m.unless(base::is_cold_side(stage.kind) || s.brew_day.has_value(),
                 which + "needs a brew day with water and grain");
        m.unless(i == 0 || base::is_cold_side(stage.kind) || !base::is_cold_side(s.stages[i - 1].kind),
                 which + "there is no way back from yeast to the hot side");
    }
}

void check_batch(const Scenario& s, Mistakes& m) {
    m.unless(within(s.original_gravity, 1.010, 1.120), "the original gravity must be 1.010 to 1.120");
    m.unless(within(s.duration_hours, 0.1, 24 * 400), "the duration must be 0.1 h to 400 days");
    m.unless(within(s.start_temperature_c, -2, 105), "the start must be at -2 to 105 degC");
    m.unless(within(s.start_co2_volumes.value_or(0), 0, 6), "the beginning must have 0 to 6 volumes of CO2");
    m.unless(within(s.target_co2_volumes, 0, 6), "the target must be 0 to 6 volumes of CO2");
    if (!s.brew_day) return;
    m.unless(within(s.brew_day->strike_volume_l, 1, s.vessel.total_volume_l),
             "the strike water must fit the vessel");
    m.unless(within(s.brew_day->grain_kg, 0.1, s.brew_day->strike_volume_l),
             "the grain must be 0.1 kg to 1 kg per litre");
    m.unless(within(s.brew_day->grain_c, -20, 50), "the grain must be at -20 to 50 degC");
    m.unless(within(s.brew_day->boil_off_l_per_h, 0, 0.3 * s.volume_l), "at most 30 % an hour boils off");
}

void check_troubles(const Scenario& s, Mistakes& m) {
    for (const Trouble& t : s.troubles) {
        const std::string which = "trouble " + std::string{name(t.kind)} + ": ";
        m.unless(within(t.start_hours, 0, 1e5) && within(t.hours, 0, 1e10),
                 which + "must have a start and a length");
        m.unless(within(t.amount, 0, t.kind == TroubleKind::stuck ? 1 : 100), which + "amount out of range");
    }
}

void check_sensors(const Scenario& s, Mistakes& m) {
    for (const SensorOptions& o : s.sensors) {
        const std::string which = "sensor " + std::string{name(o.quantity)} + ": ";
        m.unless(o.quantity <= Quantity::supply_pressure, which + "no instrument measures that");
        m.unless(within(o.cadence_s, 1, 86'400), which + "must read each 1 s to 1 day");
        m.unless(within(o.noise, 0, 100) && within(o.step, 0, 100) && within(o.gas_noise, 0, 1) &&
                     within(o.outlier_size, 0, 1e4),
                 which + "noise, step and outliers must not be negative");
        m.unless(within(o.bias, -1e3, 1e3) && within(o.drift_per_day, -100, 100),
                 which + "bias or drift out of range");
        m.unless(within(o.outlier_probability, 0, 1) && within(o.duplicate_probability, 0, 1),
                 which + "probabilities are 0 to 1");
        m.unless(within(o.upload_every_s, 0, 30 * 86'400), which + "must upload within a month");
        m.unless(within(o.clock_offset_s, -1e10, 1e10), which + "its clock must have an offset");
        for (const auto* windows : {&o.dropouts, &o.outages})
            for (const Window& w : *windows)
                m.unless(within(w.start_hours, 0, 1e5) && within(w.hours, 0, 1e5),
                         which + "a window is out of range");
    }
}

}  // namespace

std::vector<SensorOptions> ordinary_sensors() {
    std::vector<SensorOptions> all(5);
    all[0] = {.quantity = Quantity::beer_temperature, .noise = 0.03, .step = 0.0625};
    all[1] = {.quantity = Quantity::jacket_temperature, .noise = 0.03, .step = 0.0625};
    all[2] = {.quantity = Quantity::room_temperature, .cadence_s = 300, .noise = 0.03, .step = 0.0625};
    all[3] = {
        .quantity = Quantity::gravity, .cadence_s = 900, .noise = 0.0007, .step = 0.0001, .gas_noise = 0.004};
    all[4] = {.quantity = Quantity::head_pressure, .noise = 0.4, .step = 0.05};
    return all;
}

SensorOptions& sensor(Scenario& scenario, Quantity quantity) {
    const auto found = std::ranges::find(scenario.sensors, quantity, &SensorOptions::quantity);
    if (found != scenario.sensors.end()) return *found;
    SensorOptions fresh{.quantity = quantity};
    for (const SensorOptions& ordinary : ordinary_sensors())
        if (ordinary.quantity == quantity) fresh = ordinary;
    return scenario.sensors.emplace_back(fresh);
}

std::vector<std::string> mistakes_in(const Scenario& scenario) {
    Mistakes mistakes;
    check_batch(scenario, mistakes);
    check_vessel(scenario, mistakes);
    check_stages(scenario, mistakes);
    check_troubles(scenario, mistakes);
    check_sensors(scenario, mistakes);
    return std::move(mistakes.found);
}

std::string_view name(TroubleKind kind) {
    for (const TroubleName& row : trouble_names)
        if (row.kind == kind) return row.name;
    return "?";
}

std::optional<TroubleKind> trouble_named(std::string_view text) {
    for (const TroubleName& row : trouble_names)
        if (row.name == text) return row.kind;
    return std::nullopt;
}

}  // namespace gyled::virtual_vessel
