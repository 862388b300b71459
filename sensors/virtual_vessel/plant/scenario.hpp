#pragma once
/// What happens in one simulated batch: the vessel, the wort, the culture, the plan, the troubles, the
/// instruments.
///
/// A scenario is plain data. With equal data (the seed is part of it) the plant lives through exactly the
/// same batch.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"
#include "sensors/virtual_vessel/plant/kinetics/family.hpp"

namespace gyled::virtual_vessel {

using base::Duration;
using base::Quantity;
using base::Timestamp;

using base::Culture;
using base::HeadSpace;
using base::StageKind;

/// One stage of the plan. It lasts until the next one starts.
struct Stage {
    StageKind kind = StageKind::ferment;
    double start_hours = 0;      ///< after Scenario::begin
    double temperature_c = 19;   ///< set point of the thermostat
    double ramp_c_per_hour = 0;  ///< how fast the set point walks there; 0: at once
    HeadSpace head_space = HeadSpace::vented;
    double head_pressure_kpa = 0;  ///< gauge; set point of the spunding valve or the regulator
    double band_c = 1.0;  ///< half width of the temperature band that the brewer writes into the batch file
};

/// Something going wrong. Begins at its hour and ends after its length, if it can end at all.
enum class TroubleKind : std::uint8_t {
    stuck,  ///< most of the yeast gives up. amount: fraction of the drop done when it happens (0: at
            ///< start_hours)
    chiller_failure,  ///< the chiller gives no cold
    heater_failure,   ///< the heater gives no heat
    shut_vent,        ///< whatever vents the head space is blocked; the relief valve still works
    shut_supply,      ///< the cylinder is empty or its valve closed
    leak,             ///< amount: conductance in mmol/(h kPa), 0: a default lid leak of 0.1
    sensor_dropout,   ///< instruments fall silent. sensor: which one; none: all of them
    late_creep,       ///< enzymes free more sugar. amount: SG points (0.001) of it, 0: a default of 3
};

struct Trouble {
    TroubleKind kind = TroubleKind::stuck;
    double start_hours = 0;
    double hours = 1e9;  ///< how long it lasts
    double amount = 0;   ///< meaning depends on the kind; 0 asks for the default
    std::optional<Quantity> sensor{};
};

struct Window {
    double start_hours = 0;
    double hours = 0;
};

/// One instrument and its faults. Values in the quantity's canonical unit. All faults default to none.
struct SensorOptions {
    Quantity quantity = Quantity::beer_temperature;
    double cadence_s = 60;  ///< one reading each; at least 1
    double noise = 0;       ///< white, one sigma
    double step = 0;        ///< quantisation; 0: none
    double bias = 0;        ///< constant, added
    double drift_per_day = 0;
    double outlier_probability = 0;  ///< per reading
    double outlier_size = 0;  ///< largest; upward only for gravity (krausen lifts the float), else either way
    double gas_noise = 0;     ///< gravity: SG of extra noise per vol/h of CO2 evolving, mostly upward
    std::vector<Window> dropouts{};  ///< readings within are lost for ever
    double upload_every_s = 0;       ///< the sensor sleeps, and delivers what it kept together; 0: at once
    std::vector<Window> outages{};   ///< readings within are kept and delivered together at the end
    double duplicate_probability = 0;
    double clock_offset_s = 0;  ///< added to the time in the payload
};

/// The vessel and what is around it. Defaults: 26 L stainless, jacketed, at the sea, in a cellar.
struct VesselOptions {
    std::string id = "north";
    double total_volume_l = 26.0;  ///< as on the plate; the true head space differs by up to volume_error
    double volume_error = 0.02;    ///< drawn within +- this fraction, for the beer and for the head space
    double working_pressure_kpa = 200;  ///< gauge
    double relief_pressure_kpa = 180;   ///< gauge
    double vacuum_limit_kpa = -5;       ///< gauge; only written into files: the plant does not implode
    double elevation_m = 0;
    double weather_kpa = 0.8;                 ///< barometric swing, amplitude
    double room_c = 18;                       ///< mean
    double room_swing_c = 1.5;                ///< over the day, amplitude
    double chiller_w = 150;                   ///< cold at the jacket
    double jacket_heater_w = 60;              ///< gentle heat while fermenting
    double element_w = 3500;                  ///< the brew-day element
    double thermostat_band_c = 0.3;           ///< half width
    double leak_mmol_per_h_kpa = 0;           ///< a leak that is there from the beginning
    std::optional<double> solubility_factor;  ///< of this beer over water; none: see draw_salting_out
    std::optional<double> still_kla_per_h;    ///< at 20 degC, one volume short; none: see draw_transfer
};

/// The grain bill, where the scenario begins with a brew day.
struct BrewDay {
    double strike_volume_l = 24;
    double strike_start_c = 15;
    double grain_kg = 4.5;
    double grain_c = 18;
    double boil_off_l_per_h = 2.0;  ///< at a rolling boil, the element turned down
};

struct Scenario {
    std::string name;
    std::string batch_name = "Harbour Mild";
    std::uint64_t seed = 1;
    Timestamp begin = Timestamp{Duration{1'772'388'000'000}};  ///< 2026-03-01T18:00:00Z
    double duration_hours = 25 * 24;
    double original_gravity = 1.048;  ///< SG 20/20
    Culture culture = Culture::ale;
    std::optional<Family> family;  ///< of its kinetics; none: each in its turn, by the seed
    double volume_l = 21.0;        ///< beer, as the brewer reads it
    double target_co2_volumes = 2.3;
    double start_temperature_c = 19;          ///< of the wort at the beginning
    std::optional<double> start_co2_volumes;  ///< dissolved, at the beginning; none: 0.02 with air above
    bool fermented_already = false;  ///< begins with finished beer, bright: nothing ferments any more
    VesselOptions vessel;
    std::optional<BrewDay> brew_day;
    std::vector<Stage> stages;  ///< ordered by start; the first starts at 0
    std::vector<Trouble> troubles;
    std::vector<SensorOptions> sensors;  ///< see ordinary_sensors()
};

/// Sane instruments of a home cellar: a one-wire thermometer, a floating densitometer each 15 min, a
/// transducer.
[[nodiscard]] std::vector<SensorOptions> ordinary_sensors();
/// The options of one instrument of the scenario, to change; added with its defaults when not there.
[[nodiscard]] SensorOptions& sensor(Scenario& scenario, Quantity quantity);

/// Every mistake in the scenario, one sentence each; empty when it can be simulated.
[[nodiscard]] std::vector<std::string> mistakes_in(const Scenario& scenario);

[[nodiscard]] std::string_view name(TroubleKind kind);  ///< with hyphens, as on the command line: "shut-vent"
[[nodiscard]] std::optional<TroubleKind> trouble_named(std::string_view name);

}  // namespace gyled::virtual_vessel
