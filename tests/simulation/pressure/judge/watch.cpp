#include "tests/simulation/pressure/judge/watch.hpp"

#include <algorithm>

#include "tests/simulation/pressure/truth/record.hpp"

namespace gyled::pressure_worlds {
namespace {

using namespace std::chrono_literals;

constexpr const char* vessel_id = "north";

batch::StagePlan stage_of(const Told& told) {
    batch::StagePlan stage;
    stage.kind = told.kind;
    stage.head_space = told.head_space;
    stage.head_pressure_kpa = told.set_kpa;
    return stage;
}

batch::Plan plan_of(const Tape& tape) {
    const Script& script = tape.script;
    batch::Plan plan;
    plan.name = "Windward Bitter";
    plan.vessel = vessel_id;
    plan.volume_l = script.beer_l;
    plan.original_gravity = script.original_gravity;
    plan.expected_final_gravity = tape.truths.front().terminal_sg + script.expected_error_sg;
    plan.culture = script.culture;
    plan.target_co2_volumes = script.target_volumes;
    plan.stages.push_back(stage_of(script.first));
    for (const Deed& deed : tape.deeds)
        if (deed.told) plan.stages.push_back(stage_of(*deed.told));
    return plan;
}

cellar::CellarSpec spec_of(const Script& script) {
    cellar::CellarSpec spec;
    spec.elevation_m = script.elevation_m;
    batch::VesselSpec vessel;
    vessel.id = vessel_id;
    vessel.total_volume_l = script.vessel_l;
    vessel.working_pressure_kpa = script.working_kpa;
    vessel.relief_pressure_kpa = script.relief_kpa;
    vessel.vacuum_limit_kpa = script.vacuum_limit_kpa;
    vessel.warmest_c = warmest_c;
    spec.vessels.push_back(vessel);
    for (const Probe& probe : script.probes)
        spec.sensors.push_back({std::string{base::name(probe.quantity)}, vessel_id, probe.quantity});
    return spec;
}

/// The core, and a pen.
class Watch {
public:
    explicit Watch(const Script& script) : core_{spec_of(script)} {}

    /// What it comes to, of this batch alone.
    Diary live(const Tape& tape) {
        diary_ = {};
        take(core_.advance_to(tape.begin));
        if (tape.script.has_batch)
            take(core_.accept(cellar::StartBatch{plan_of(tape), tape.begin, {}, cellar::Consent::past}));
        auto deed = tape.deeds.begin();
        for (const Reading& reading : tape.readings) {
            for (; deed != tape.deeds.end() && deed->at <= reading.at; ++deed) hear(*deed);
            hear(reading);
        }
        // What comes of silence comes with time alone.
        take(core_.advance_to(tape.end));
        return std::move(diary_);
    }
    void end_batch() { take(core_.accept(cellar::EndBatch{vessel_id, core_.now()})); }

private:
    void hear(const Reading& reading) {
        sensors::Reading heard;
        heard.sensor = base::name(reading.quantity);
        heard.vessel = vessel_id;
        heard.quantity = reading.quantity;
        heard.at = heard.arrived = reading.at;
        heard.value = reading.value;
        if (heard.at > core_.now()) take(core_.advance_to(heard.at));
        take(core_.accept(heard));
    }

    void hear(const Deed& deed) {
        if (deed.at > core_.now()) take(core_.advance_to(deed.at));
        if (deed.hydrometer_sg)
            take(core_.accept(cellar::Measure{
                vessel_id, {base::Quantity::gravity, *deed.hydrometer_sg, deed.at, "hydrometer"}}));
        if (deed.told) take(core_.accept(cellar::EnterStage{vessel_id, deed.at, {}}));
    }

    void take(const cellar::Effects& effects) {
        for (const auto& point : effects.estimates) {
            if (point.at <= told_until_) continue;
            auto& beliefs = diary_.beliefs;
            if (beliefs.empty() || beliefs.back().at != point.at) beliefs.push_back({point.at, {}});
            beliefs.back().estimates[point.quantity] = point.estimate;
        }
        if (!diary_.beliefs.empty()) told_until_ = diary_.beliefs.back().at;
        for (const auto& change : effects.facts)
            diary_.facts.push_back({core_.now(), estimation::name(change.fact.kind), change.fact.revoked});
        diary_.transitions.insert(diary_.transitions.end(), effects.transitions.begin(),
                                  effects.transitions.end());
    }

    cellar::Cellar core_;
    Diary diary_;
    Timestamp told_until_{};
};

}  // namespace

Diary watch(const Tape& tape) {
    Watch watch{tape.script};
    if (tape.script.earlier) {
        (void)watch.live(record(*tape.script.earlier));
        watch.end_batch();
    }
    return watch.live(tape);
}

const base::Estimate* Diary::believed(Timestamp at, std::string_view quantity) const {
    const auto known = base::quantity_named(quantity);
    const auto after = std::ranges::upper_bound(beliefs, at, {}, &Belief::at);
    if (!known || after == beliefs.begin()) return nullptr;
    const auto& estimates = std::prev(after)->estimates;
    const auto found = estimates.find(*known);
    return found == estimates.end() ? nullptr : &found->second;
}

std::optional<Timestamp> Diary::first_told(std::string_view name, Timestamp from, Timestamp to) const {
    std::optional<Timestamp> first;
    const auto note = [&](Timestamp at) {
        if (at >= from && at <= to && (!first || at < *first)) first = at;
    };
    for (const auto& step : transitions)
        if (step.rule == name && step.state == alarms::AlarmState::raised) note(step.at);
    for (const Said& said : facts)
        if (said.what == name && !said.revoked) note(said.at);
    return first;
}

std::optional<Timestamp> Diary::first_rung(std::string_view rule, Timestamp from, Timestamp to) const {
    for (const auto& step : transitions)
        if (step.rule == rule && step.state == alarms::AlarmState::raised &&
            step.priority >= alarms::Priority::high && step.at >= from && step.at <= to)
            return step.at;
    return std::nullopt;
}

std::optional<Timestamp> Diary::first_returned(std::string_view rule, Timestamp from) const {
    for (const auto& step : transitions)
        if (step.rule == rule && step.state == alarms::AlarmState::normal && step.at >= from) return step.at;
    return std::nullopt;
}

}  // namespace gyled::pressure_worlds
