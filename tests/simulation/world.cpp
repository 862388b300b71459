#include "tests/simulation/world.hpp"

#include <algorithm>
#include <chrono>

#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::simulation {

using namespace std::chrono_literals;
using virtual_vessel::Scenario;

const virtual_vessel::Truth& World::truth_at(Timestamp t) const {
    const auto place = std::upper_bound(truths.begin(), truths.end(), t,
                                        [](Timestamp at, const auto& truth) { return at < truth.time; });
    return place == truths.begin() ? truths.front() : *(place - 1);
}

batch::Plan plan_of(const Scenario& scenario) {
    batch::Plan plan;
    plan.name = scenario.batch_name;
    plan.vessel = scenario.vessel.id;
    plan.volume_l = scenario.volume_l;
    plan.original_gravity = scenario.original_gravity;
    plan.expected_final_gravity = virtual_vessel::expected_final_gravity(scenario);
    plan.culture = scenario.culture;
    plan.target_co2_volumes = scenario.target_co2_volumes;
    for (const auto& stage : scenario.stages) {
        batch::StagePlan planned;
        planned.kind = stage.kind;
        planned.start = scenario.begin + base::hours(stage.start_hours);
        planned.temperature_c =
            base::Band{stage.temperature_c - stage.band_c, stage.temperature_c + stage.band_c};
        planned.head_space = stage.head_space;
        planned.head_pressure_kpa = stage.head_pressure_kpa;
        plan.stages.push_back(planned);
    }
    return plan;
}

World live_through(const Scenario& scenario) {
    World world;
    world.scenario = scenario;
    auto recording = virtual_vessel::record(scenario, scenario.duration_hours < 24 ? 1min : 5min);
    world.truths = std::move(recording.truths);

    cellar::CellarSpec spec;
    spec.elevation_m = scenario.vessel.elevation_m;
    batch::VesselSpec vessel;
    vessel.id = scenario.vessel.id;
    vessel.total_volume_l = scenario.vessel.total_volume_l;
    vessel.working_pressure_kpa = scenario.vessel.working_pressure_kpa;
    vessel.relief_pressure_kpa = scenario.vessel.relief_pressure_kpa;
    vessel.vacuum_limit_kpa = scenario.vessel.vacuum_limit_kpa;
    spec.vessels.push_back(vessel);
    for (const auto& options : scenario.sensors)
        spec.sensors.push_back(
            {std::string{base::name(options.quantity)}, vessel.id, options.quantity, base::Duration{45min}});

    const auto began = std::chrono::steady_clock::now();
    cellar::Cellar core{spec};
    Timestamp told{};
    const auto take = [&](const cellar::Effects& effects) {
        for (const auto& p : effects.estimates) {
            if (p.at <= told)
                continue;  // told again because something came late: what counts is the first word
            if (world.beliefs.empty() || world.beliefs.back().at != p.at) world.beliefs.push_back({p.at, {}});
            world.beliefs.back().estimates[p.quantity] = p.estimate;
        }
        if (!world.beliefs.empty()) told = world.beliefs.back().at;
        for (const auto& f : effects.facts) world.facts.push_back({core.now(), f.fact.kind, f.fact.revoked});
        world.alarms.insert(world.alarms.end(), effects.transitions.begin(), effects.transitions.end());
    };
    take(core.advance_to(scenario.begin));
    take(core.accept(cellar::StartBatch{plan_of(scenario), scenario.begin, {}, cellar::Consent::past}));
    for (const auto& sample : recording.samples) {
        sensors::Reading reading;
        reading.sensor = base::name(sample.quantity);
        reading.vessel = vessel.id;
        reading.quantity = sample.quantity;
        reading.at = sample.taken <= sample.arrival + 2min ? sample.taken : sample.arrival;
        reading.arrived = sample.arrival;
        reading.value = sample.value;
        if (reading.at > core.now()) take(core.advance_to(reading.at));
        take(core.accept(reading));
        if (sample.quantity == base::Quantity::gravity) world.gravity_readings.push_back(sample);
    }
    take(core.advance_to(core.now() + 1min));
    world.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return world;
}

}  // namespace gyled::simulation
