#pragma once
/// The Harbour cellar's pipeline between two doubles: one vessel, a thermometer and a pressure gauge.

#include <memory>
#include <string>
#include <vector>

#include "daemon/pipeline/pipeline.hpp"
#include "tests/pipeline/memory_store.hpp"
#include "tests/support/scripted_source.hpp"

namespace gyled::pipeline {

using namespace std::chrono_literals;
using base::Quantity;

inline Timestamp at(Duration after) {
    return base::from_rfc3339("2026-03-01T18:00:00Z").value() + after;
}

inline cellar::CellarSpec harbour_core() {
    cellar::CellarSpec spec;
    batch::VesselSpec north;
    north.id = "north";
    north.name = "North";
    north.total_volume_l = 26;
    north.working_pressure_kpa = 200;
    north.relief_pressure_kpa = 180;
    spec.vessels.push_back(north);
    spec.recipients = {{"phone", alarms::Priority::low}};
    spec.sensors.push_back({"north-beer", "north", Quantity::beer_temperature, 45min});
    spec.sensors.push_back({"north-head", "north", Quantity::head_pressure, 45min});
    return spec;
}

inline std::vector<sensors::SensorSpec> harbour_sensors() {
    sensors::SensorSpec beer;
    beer.id = "north-beer";
    beer.vessel = "north";
    beer.quantity = Quantity::beer_temperature;
    beer.topic = "cellar/north/temperature";
    beer.unit = "degC";
    sensors::SensorSpec head = beer;
    head.id = "north-head";
    head.quantity = Quantity::head_pressure;
    head.topic = "cellar/north/pressure";
    head.unit = "kPa";
    return {beer, head};
}

/// Remembers what the pipeline told, in order.
class Heard final : public Listener {
public:
    void on_effects(const cellar::Effects& effects) override {
        for (const auto& transition : effects.transitions) transitions.push_back(transition);
    }
    void on_reading(const sensors::Reading&) override { ++readings; }
    void on_reject(const sensors::Reject& reject) override { rejects.push_back(reject.reason); }
    void on_commit(const Commit&) override { ++commits; }
    void on_commit_failure(const std::string& problem) override { failures.push_back(problem); }
    void on_unstored_notice(const annunciation::Notice& notice) override { unstored.push_back(notice); }

    std::vector<alarms::Transition> transitions;
    std::vector<std::string> rejects, failures;
    std::vector<annunciation::Notice> unstored;
    int readings = 0, commits = 0;
};

/// A run of the daemon's heart; the store and what the source keeps may outlive it.
struct Watch {
    explicit Watch(MemoryStore& s, Parameters parameters = {})
        : store{s}, pipeline{cellar::Cellar{harbour_core()},
                             sensors::Intake{harbour_sensors()},
                             source,
                             store,
                             heard,
                             std::move(parameters)} {
        pipeline.resume(at(0s));
        pipeline.advance(at(0s));
    }
    /// A head pressure above the working pressure of the vessel: nobody may wait to hear of it.
    void send_alarming_pressure(Timestamp when) { source.send("cellar/north/pressure", "230", when); }

    testing::ScriptedSource source;
    Heard heard;
    MemoryStore& store;
    Pipeline pipeline;
};

}  // namespace gyled::pipeline
