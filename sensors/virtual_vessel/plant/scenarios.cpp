#include "sensors/virtual_vessel/plant/scenarios.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "sensors/virtual_vessel/plant/plant.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double days = 24.0;
/// Purposes of chance, apart from those of plant and instruments.
enum Stream : std::uint64_t { plan_stream = 50, expectation_stream = 51, fault_stream = 52 };

double rounded(double value, double to) {
    return std::round(value / to) * to;
}

/// A batch of `culture` in the vessel "north", with ordinary instruments and no plan yet.
Scenario batch(std::string_view name, std::uint64_t seed, Culture culture) {
    Scenario s;
    s.name = name;
    s.seed = seed;
    s.culture = culture;
    s.sensors = ordinary_sensors();
    Random random{seed, plan_stream};
    s.original_gravity = rounded(random.between(1.038, 1.060), 0.001);
    s.volume_l = rounded(random.between(19.5, 22.0), 0.5);
    s.vessel.room_c = random.between(16, 21);
    s.vessel.room_swing_c = random.between(0.5, 2.5);
    return s;
}

double ale_temperature(std::uint64_t seed) {
    return rounded(Random{seed, plan_stream + 100}.between(18.0, 21.0), 0.5);
}

/// When a brewer with a good hydrometer sees `left_sg` to go, in hours. At least one.
double hours_until_left(const Scenario& s, double left_sg) {
    Plant vessel{s};
    const double goal = vessel.truth().terminal_sg + left_sg;
    while (!vessel.is_over() && vessel.truth().sg > goal) vessel.advance(std::chrono::hours{1});
    return std::max(1.0, base::hours_between(s.begin, vessel.time()));
}

/// Finished beer, cold, with `volumes` in it, in a shut vessel.
Scenario finished_beer(std::string_view name, std::uint64_t seed, double volumes) {
    Scenario s = batch(name, seed, Culture::ale);
    s.fermented_already = true;
    s.start_temperature_c = 3;
    s.start_co2_volumes = volumes;
    s.sensors.erase(s.sensors.begin() + 3);  // the float is out
    return s;
}

}  // namespace

Scenario ale(std::uint64_t seed) {
    Scenario s = batch("ale", seed, Culture::ale);
    const double warm = ale_temperature(seed);
    s.start_temperature_c = warm + Random{seed, fault_stream}.between(-1.0, 2.0);
    s.stages = {
        {.kind = StageKind::ferment, .temperature_c = warm},
        {.kind = StageKind::crash, .start_hours = 13 * days, .temperature_c = 3, .ramp_c_per_hour = 1.0}};
    s.duration_hours = 16 * days;
    return s;
}

Scenario lager(std::uint64_t seed) {
    Scenario s = batch("lager", seed, Culture::lager);
    s.batch_name = "Quayside Lager";
    const double cool = rounded(Random{seed, plan_stream + 100}.between(9.5, 12.0), 0.5);
    s.start_temperature_c = cool + Random{seed, fault_stream}.between(-0.5, 2.0);
    s.target_co2_volumes = 2.5;
    s.stages = {{.kind = StageKind::ferment, .temperature_c = cool}};
    s.duration_hours = 30 * days;
    const double rest = hours_until_left(s, Random{seed, fault_stream + 1}.between(0.003, 0.006));
    s.stages.push_back(
        {.kind = StageKind::rest, .start_hours = rest, .temperature_c = 16, .ramp_c_per_hour = 0.15});
    s.stages.push_back({.kind = StageKind::crash,
                        .start_hours = rest + 7 * days,
                        .temperature_c = 1,
                        .ramp_c_per_hour = 0.5});
    s.duration_hours = rest + 11 * days;
    return s;
}

Scenario mixed_long_tail(std::uint64_t seed) {
    Scenario s = batch("mixed-long-tail", seed, Culture::mixed);
    s.batch_name = "Long Pier";
    const double warm = ale_temperature(seed);
    s.start_temperature_c = warm;
    s.stages = {{.kind = StageKind::ferment, .temperature_c = warm}};
    s.duration_hours = 70 * days;
    return s;
}

Scenario stuck_at_half_way(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "stuck-at-half-way";
    const double fraction = Random{seed, fault_stream + 1}.between(0.4, 0.6);
    s.troubles = {{.kind = TroubleKind::stuck, .amount = fraction}};
    return s;
}

Scenario early_crash_and_rewarm(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "early-crash-and-rewarm";
    const double warm = s.stages.front().temperature_c;
    const double at = Random{seed, fault_stream + 1}.between(40, 60);
    s.stages = {{.kind = StageKind::ferment, .temperature_c = warm},
                {.kind = StageKind::crash, .start_hours = at, .temperature_c = 4, .ramp_c_per_hour = 1.5},
                {.kind = StageKind::ferment, .start_hours = at + 72, .temperature_c = warm + 1}};
    s.duration_hours = 30 * days;
    return s;
}

Scenario late_creep(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "late-creep";
    s.stages.resize(1);
    s.troubles = {{.kind = TroubleKind::late_creep,
                   .start_hours = 11 * days,
                   .amount = Random{seed, fault_stream + 1}.between(3.0, 5.0)}};
    s.duration_hours = 25 * days;
    return s;
}

Scenario spunded(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "spunded";
    const double warm = s.stages.front().temperature_c;
    s.stages = {{.kind = StageKind::ferment, .temperature_c = warm},
                {.kind = StageKind::ferment,
                 .start_hours = 30,
                 .temperature_c = warm,
                 .head_space = HeadSpace::spunded,
                 .head_pressure_kpa = 100}};
    s.duration_hours = 14 * days;
    return s;
}

Scenario sealed_ferment(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "sealed-ferment";
    s.stages.resize(1);
    // Shut where two to three and a half points are left: the brewer did the sum.
    Stage shut = s.stages.front();
    shut.start_hours = hours_until_left(s, Random{seed, fault_stream + 1}.between(0.002, 0.0035));
    shut.head_space = HeadSpace::sealed;
    s.stages.push_back(shut);
    s.duration_hours = shut.start_hours + 14 * days;
    return s;
}

Scenario set_and_wait(std::uint64_t seed) {
    Scenario s = finished_beer("set-and-wait", seed, 0.85);
    s.stages = {{.kind = StageKind::carbonate,
                 .temperature_c = 3,
                 .head_space = HeadSpace::supplied,
                 .head_pressure_kpa = rounded(Random{seed, fault_stream}.between(70, 95), 5)}};
    s.duration_hours = 14 * days;
    return s;
}

Scenario fast_carbonation(std::uint64_t seed) {
    Scenario s = finished_beer("fast-carbonation", seed, 0.85);
    s.vessel.relief_pressure_kpa = 250;
    s.vessel.working_pressure_kpa = 275;
    s.stages = {{.kind = StageKind::carbonate,
                 .temperature_c = 3,
                 .head_space = HeadSpace::supplied,
                 .head_pressure_kpa = 200},
                {.kind = StageKind::carbonate,
                 .start_hours = 24,
                 .temperature_c = 3,
                 .head_space = HeadSpace::sealed},
                {.kind = StageKind::serve,
                 .start_hours = 60,
                 .temperature_c = 3,
                 .head_space = HeadSpace::supplied,
                 .head_pressure_kpa = 75}};
    s.duration_hours = 10 * days;
    return s;
}

Scenario leaking_lid(std::uint64_t seed) {
    Scenario s = finished_beer("leaking-lid", seed, 2.4);
    s.stages = {{.kind = StageKind::condition, .temperature_c = 3, .head_space = HeadSpace::sealed}};
    const double at = Random{seed, fault_stream}.between(36, 60);
    s.troubles = {{.kind = TroubleKind::leak,
                   .start_hours = at,
                   .amount = Random{seed, fault_stream + 1}.between(0.05, 0.3)}};
    s.duration_hours = 10 * days;
    return s;
}

Scenario chiller_failure(std::uint64_t seed) {
    Scenario s = finished_beer("chiller-failure", seed, Random{seed, fault_stream}.between(2.3, 2.6));
    s.vessel.room_c = Random{seed, fault_stream + 1}.between(20, 25);
    s.stages = {{.kind = StageKind::serve, .temperature_c = 3, .head_space = HeadSpace::sealed}};
    s.troubles = {{.kind = TroubleKind::chiller_failure,
                   .start_hours = Random{seed, fault_stream + 2}.between(40, 56),
                   .hours = 6 * days}};
    s.duration_hours = 12 * days;
    return s;
}

Scenario sensor_outages(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "sensor-outages";
    Random random{seed, fault_stream + 1};
    sensor(s, Quantity::gravity).dropouts = {{random.between(20, 60), random.between(6, 24)},
                                             {random.between(90, 150), random.between(2, 12)}};
    sensor(s, Quantity::gravity).outages = {{random.between(160, 190), 30}};
    sensor(s, Quantity::beer_temperature).dropouts = {{random.between(30, 80), random.between(1, 8)}};
    sensor(s, Quantity::head_pressure).upload_every_s = 3600;
    sensor(s, Quantity::head_pressure).duplicate_probability = 0.02;
    return s;
}

Scenario biased_sensors(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "biased-sensors";
    Random random{seed, fault_stream + 1};
    sensor(s, Quantity::gravity).bias = random.between(-0.004, 0.004);
    sensor(s, Quantity::beer_temperature).bias = random.between(-0.5, 0.5);
    sensor(s, Quantity::head_pressure).bias = random.between(-3, 3);
    return s;
}

Scenario drifting_sensors(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "drifting-sensors";
    Random random{seed, fault_stream + 1};
    sensor(s, Quantity::gravity).drift_per_day = random.between(-0.0003, 0.0003);
    sensor(s, Quantity::head_pressure).drift_per_day = random.between(-0.3, 0.3);
    return s;
}

Scenario outliers(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "outliers";
    SensorOptions& gravity = sensor(s, Quantity::gravity);
    gravity.outlier_probability = 0.05;
    gravity.outlier_size = 0.025;
    SensorOptions& beer = sensor(s, Quantity::beer_temperature);
    beer.outlier_probability = 0.002;
    beer.outlier_size = 66;  // towards the 85 degC of a thermometer that has just woken up
    SensorOptions& head = sensor(s, Quantity::head_pressure);
    head.outlier_probability = 0.002;
    head.outlier_size = 300;
    return s;
}

Scenario wrong_clock(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "wrong-clock";
    Random random{seed, fault_stream + 1};
    sensor(s, Quantity::gravity).clock_offset_s = random.between(-1800, 7200);
    sensor(s, Quantity::beer_temperature).clock_offset_s = -1'772'388'000.0;  // it thinks that it is 1970
    return s;
}

Scenario brew_day(std::uint64_t seed) {
    Scenario s = batch("brew-day", seed, Culture::ale);
    Random random{seed, fault_stream};
    s.brew_day = BrewDay{.strike_volume_l = 24,
                         .strike_start_c = random.between(10, 18),
                         .grain_kg = random.between(4.0, 5.5),
                         .grain_c = random.between(15, 21)};
    s.vessel.total_volume_l = 35;
    s.start_temperature_c = s.brew_day->strike_start_c;
    s.sensors = {{.quantity = Quantity::beer_temperature, .cadence_s = 10, .noise = 0.03, .step = 0.0625},
                 {.quantity = Quantity::room_temperature, .cadence_s = 300, .noise = 0.03, .step = 0.0625}};
    s.begin = Timestamp{Duration{1'772'352'000'000}};  // 2026-03-01T08:00:00Z
    // Strike by the trade's rule, so that the mash comes out at 67 degC; the vessel is never quite what the
    // rule says.
    const double ratio = s.brew_day->strike_volume_l / s.brew_day->grain_kg;
    const double strike_c = 67.0 + 0.4 / ratio * (67.0 - s.brew_day->grain_c) - 1.0;
    s.stages = {{.kind = StageKind::strike, .temperature_c = rounded(strike_c, 0.5)},
                {.kind = StageKind::mash, .start_hours = 1.0, .temperature_c = 66.5},
                {.kind = StageKind::mash_out, .start_hours = 2.1, .temperature_c = 77},
                {.kind = StageKind::boil, .start_hours = 2.5, .temperature_c = 100, .band_c = 3},
                {.kind = StageKind::chill, .start_hours = 4.0, .temperature_c = 20},
                {.kind = StageKind::ferment, .start_hours = 5.0, .temperature_c = ale_temperature(seed)}};
    s.duration_hours = 12;
    return s;
}

Scenario whole_batch(std::uint64_t seed) {
    Scenario s = brew_day(seed);
    s.name = "whole-batch";
    for (const SensorOptions& o : ordinary_sensors())
        if (std::ranges::find(s.sensors, o.quantity, &SensorOptions::quantity) == s.sensors.end())
            s.sensors.push_back(o);
    sensor(s, Quantity::beer_temperature).cadence_s = 60;
    s.stages.push_back(
        {.kind = StageKind::crash, .start_hours = 13 * days, .temperature_c = 3, .ramp_c_per_hour = 1.0});
    s.stages.push_back({.kind = StageKind::carbonate,
                        .start_hours = 15 * days,
                        .temperature_c = 3,
                        .head_space = HeadSpace::supplied,
                        .head_pressure_kpa = 80});
    s.stages.push_back({.kind = StageKind::serve,
                        .start_hours = 27 * days,
                        .temperature_c = 6,
                        .head_space = HeadSpace::supplied,
                        .head_pressure_kpa = 90});
    s.duration_hours = 30 * days;
    return s;
}

Scenario twelve_days(std::uint64_t seed) {
    Scenario s = ale(seed);
    s.name = "twelve-days";
    s.original_gravity = 1.040;
    s.target_co2_volumes = 2.2;
    s.vessel.still_kla_per_h = 0.016;
    s.stages = {{.kind = StageKind::ferment, .temperature_c = 19.5},
                {.kind = StageKind::rest,
                 .start_hours = 5 * days,
                 .temperature_c = 21,
                 .ramp_c_per_hour = 0.3,
                 .head_space = HeadSpace::spunded,
                 .head_pressure_kpa = 30},
                {.kind = StageKind::crash,
                 .start_hours = 6.5 * days,
                 .temperature_c = 3,
                 .ramp_c_per_hour = 1.0,
                 .head_space = HeadSpace::supplied,
                 .head_pressure_kpa = 60},
                {.kind = StageKind::carbonate,
                 .start_hours = 7.5 * days,
                 .temperature_c = 3,
                 .head_space = HeadSpace::supplied,
                 .head_pressure_kpa = 130},
                {.kind = StageKind::condition,
                 .start_hours = 9.75 * days,
                 .temperature_c = 3,
                 .head_space = HeadSpace::sealed}};
    s.troubles = {{.kind = TroubleKind::chiller_failure, .start_hours = 10 * days}};
    s.duration_hours = 14 * days;
    return s;
}

namespace {

constexpr std::array scenarios{
    NamedScenario{"twelve-days", "fermented, rested, crashed, carbonated and shut; then the chiller fails",
                  twelve_days},
    NamedScenario{"ale", "two weeks at cellar warmth, then a crash", ale},
    NamedScenario{"lager", "cool, a ramp to a diacetyl rest, a crash", lager},
    NamedScenario{"mixed-long-tail", "a slow second organism, ten weeks", mixed_long_tail},
    NamedScenario{"stuck-at-half-way", "most of the yeast gives up half way", stuck_at_half_way},
    NamedScenario{"early-crash-and-rewarm", "chilled too early for three days, then warm again",
                  early_crash_and_rewarm},
    NamedScenario{"late-creep", "enzymes free more sugar after eleven days", late_creep},
    NamedScenario{"spunded", "vented for 30 h, then a spunding valve at 100 kPa", spunded},
    NamedScenario{"sealed-ferment", "shut with a few points left", sealed_ferment},
    NamedScenario{"set-and-wait", "cold finished beer on a regulator", set_and_wait},
    NamedScenario{"fast-carbonation", "200 kPa for 24 h, shut in for 36 h, then served", fast_carbonation},
    NamedScenario{"leaking-lid", "a shut, carbonated vessel begins to leak", leaking_lid},
    NamedScenario{"chiller-failure", "the chiller of a shut, carbonated, cold vessel fails for six days",
                  chiller_failure},
    NamedScenario{"sensor-outages", "readings lost, late, in bulk and twice", sensor_outages},
    NamedScenario{"biased-sensors", "every instrument is a little wrong", biased_sensors},
    NamedScenario{"drifting-sensors", "float and transducer drift", drifting_sensors},
    NamedScenario{"outliers", "krausen lifts the float, glitches elsewhere", outliers},
    NamedScenario{"wrong-clock", "two sensors believe in another time", wrong_clock},
    NamedScenario{"brew-day", "strike, dough-in, mash, mash-out, boil, chill, pitch", brew_day},
    NamedScenario{"whole-batch", "from strike water to the glass, a month", whole_batch},
};

}  // namespace

std::span<const NamedScenario> all_scenarios() {
    return scenarios;
}

std::optional<Scenario> scenario_named(std::string_view name, std::uint64_t seed) {
    for (const NamedScenario& row : scenarios)
        if (row.name == name) return row.make(seed);
    return std::nullopt;
}

double expected_final_gravity(const Scenario& scenario) {
    Scenario untroubled = scenario;
    untroubled.troubles.clear();
    untroubled.duration_hours = std::max(untroubled.duration_hours, 25 * days);
    const double error = Random{scenario.seed, expectation_stream}.between(-0.0015, 0.0015);
    return rounded(Plant{untroubled}.truth().terminal_sg + error, 0.001);
}

}  // namespace gyled::virtual_vessel
