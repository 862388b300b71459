#pragma once
/// The Harbour cellar: one vessel, three sensors, one mild. Time is an argument.

#include <cmath>
#include <vector>

#include "daemon/cellar/cellar.hpp"

namespace gyled::cellar {

using namespace std::chrono_literals;
using base::Quantity;

inline Timestamp at(Duration after) {
    return base::from_rfc3339("2026-03-01T18:00:00Z").value() + after;
}

inline CellarSpec harbour() {
    CellarSpec spec;
    batch::VesselSpec north;
    north.id = "north";
    north.name = "North";
    north.total_volume_l = 26;
    north.working_pressure_kpa = 200;
    north.relief_pressure_kpa = 180;
    spec.vessels.push_back(north);
    for (const Quantity q : {Quantity::beer_temperature, Quantity::gravity, Quantity::head_pressure})
        spec.sensors.push_back({std::string{base::name(q)}, "north", q, 45min});
    return spec;
}

inline batch::Plan mild() {
    batch::Plan plan;
    plan.name = "Harbour Mild";
    plan.vessel = "north";
    plan.volume_l = 21;
    plan.original_gravity = 1.040;
    plan.expected_final_gravity = 1.010;
    plan.target_co2_volumes = 2.1;
    batch::StagePlan ferment;
    ferment.kind = StageKind::ferment;
    ferment.start = at(0h);
    ferment.temperature_c = Band{18, 21};
    ferment.end.when = batch::StageEnd::When::terminal_gravity;
    batch::StagePlan crash;
    crash.kind = StageKind::crash;
    crash.temperature_c = Band{1, 5};
    plan.stages = {ferment, crash};
    return plan;
}

inline sensors::Reading reading(Quantity q, Duration after, double value) {
    sensors::Reading r;
    r.sensor = base::name(q);
    r.vessel = "north";
    r.quantity = q;
    r.at = r.arrived = at(after);
    r.value = value;
    return r;
}

/// Three sensors every ten minutes in [from, to): a logistic ale at 19.5 degC under an airlock.
inline std::vector<sensors::Reading> an_ale(Duration from, Duration to) {
    std::vector<sensors::Reading> all;
    for (Duration t = from; t < to; t += 10min) {
        const double hours = static_cast<double>(t.count()) / 3.6e6;
        const double wobble = std::sin(hours * 7.3);
        all.push_back(reading(Quantity::beer_temperature, t, 19.5 + 0.1 * wobble));
        all.push_back(reading(Quantity::gravity, t,
                              1.010 + 0.030 / (1 + std::exp((hours - 40) / 9)) + 0.0003 * wobble));
        all.push_back(reading(Quantity::head_pressure, t, 0.5 + 0.1 * wobble));
    }
    return all;
}

}  // namespace gyled::cellar
