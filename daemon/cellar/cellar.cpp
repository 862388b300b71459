#include "daemon/cellar/cellar.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "daemon/brewing/atmosphere.hpp"
#include "daemon/cellar/vessel_watch.hpp"

namespace gyled::cellar {
namespace {

using namespace std::chrono_literals;

constexpr Duration tick_every = 1min;
/// Late readings come in crowds: wait until none has come for so long, but not longer than the other.
constexpr Duration late_settles = 2s;
constexpr Duration late_waits_at_most = 15s;

template <class... Handlers>
struct Overloaded : Handlers... {
    using Handlers::operator()...;
};
template <class... Handlers>
Overloaded(Handlers...) -> Overloaded<Handlers...>;

}  // namespace

struct Cellar::State {
    explicit State(CellarSpec s) : spec{std::move(s)}, watch_panel{"", spec.rules, spec.display} {
        spec.estimates_every = std::max(spec.estimates_every, estimation::BatchEstimator::grid);
        for (const batch::VesselSpec& vessel : spec.vessels) {
            std::vector<SensorWatch> sensors;
            std::copy_if(spec.sensors.begin(), spec.sensors.end(), std::back_inserter(sensors),
                         [&](const SensorWatch& sensor) { return sensor.vessel == vessel.id; });
            vessels.emplace_back(vessel, std::move(sensors), spec);
        }
    }

    VesselWatch* find(const std::string& id) {
        for (VesselWatch& vessel : vessels)
            if (vessel.spec().id == id) return &vessel;
        return nullptr;
    }

    std::optional<estimation::LearnedCurve> learned_for(const batch::Plan& plan) const {
        const auto found = learned.find(plan.culture_name);
        return found == learned.end() ? std::nullopt : std::optional{found->second};
    }

    void judge_watch(Effects& effects) {
        alarms::Situation situation;
        situation.at = now;
        situation.broker_connected = broker_connected;
        for (const alarms::Transition& transition : watch_panel.judge(situation)) {
            effects.transitions.push_back(transition);
            if (auto notice = annunciation::notice_for(transition))
                effects.notices.push_back(std::move(*notice));
        }
    }

    void tick(Effects& effects) {
        for (VesselWatch& vessel : vessels) vessel.tick(now, effects);
        judge_watch(effects);
    }

    void estimate(Effects& effects) {
        for (VesselWatch& vessel : vessels) {
            vessel.estimate(now, effects);
            if (auto taught = vessel.learned()) {
                auto& known = learned[taught->first];
                if (known == taught->second) continue;
                known = taught->second;
                to_store[taught->first] = std::move(taught->second);
            }
        }
        late_since.reset();
    }

    CellarSpec spec;
    std::vector<VesselWatch> vessels;
    alarms::AlarmPanel watch_panel;
    Timestamp now{};
    bool broker_connected = true;
    std::optional<Timestamp> late_since, late_last;
    std::map<std::string, estimation::LearnedCurve> learned, to_store;
};

Cellar::Cellar(CellarSpec spec) : state_{std::make_unique<State>(std::move(spec))} {}
Cellar::~Cellar() = default;
Cellar::Cellar(Cellar&&) noexcept = default;
Cellar& Cellar::operator=(Cellar&&) noexcept = default;

Effects Cellar::accept(const sensors::Reading& reading) {
    Effects effects;
    if (reading.verdict == sensors::Verdict::last_known) return effects;
    VesselWatch* vessel = state_->find(reading.vessel);
    if (vessel == nullptr) {
        effects.problems.push_back(fmt::format("No vessel is called '{}'.", reading.vessel));
        return effects;
    }
    // The air outside is the same for all vessels of the site.
    if (reading.quantity == base::Quantity::barometric_pressure &&
        reading.verdict == sensors::Verdict::accepted)
        for (VesselWatch& each : state_->vessels) each.note_barometer(reading.at, reading.value);
    vessel->accept(reading, state_->now, effects);
    if (vessel->has_late_readings()) {
        if (!state_->late_since) state_->late_since = state_->now;
        state_->late_last = state_->now;
    }
    return effects;
}

Effects Cellar::accept(const Command& command) {
    Effects effects;
    State& state = *state_;
    const auto vessel_named = [&](const std::string& id) {
        VesselWatch* vessel = state.find(id);
        if (vessel == nullptr) effects.problems.push_back(fmt::format("No vessel is called '{}'.", id));
        return vessel;
    };
    std::visit(Overloaded{
                   [&](const StartBatch& c) {
                       if (auto* v = vessel_named(c.plan.vessel))
                           v->start(c, state.learned_for(c.plan), state.now, effects);
                   },
                   [&](const EnterStage& c) {
                       if (auto* v = vessel_named(c.vessel)) v->enter(c, state.now, effects);
                   },
                   [&](const EndBatch& c) {
                       if (auto* v = vessel_named(c.vessel)) v->end(c, state.now, effects);
                   },
                   [&](const Measure& c) {
                       if (auto* v = vessel_named(c.vessel)) v->measure(c.measurement, effects);
                   },
                   [&](const UndoMeasurement&) { effects.problems.push_back("This cannot be undone yet."); },
                   [&](const CorrectBatch&) { effects.problems.push_back("This cannot be corrected yet."); },
                   [&](const Acknowledge& c) {
                       Effects last;
                       for (VesselWatch& v : state.vessels) {
                           last = {};
                           if (v.acknowledge(c, last)) break;
                       }
                       if (last.transitions.empty()) {
                           last = {};
                           const auto done = state.watch_panel.acknowledge(c.alarm, c.at);
                           if (done)
                               last.transitions.push_back(*done);
                           else
                               last.problems.push_back(done.error());
                       }
                       effects.append(std::move(last));
                   },
                   [&](const Shelve& c) {
                       Effects last;
                       for (VesselWatch& v : state.vessels) {
                           last = {};
                           if (v.shelve(c, last)) break;
                       }
                       effects.append(std::move(last));
                   },
                   [&](const BrokerState& c) {
                       state.broker_connected = c.connected;
                       for (VesselWatch& v : state.vessels) v.set_broker(c.connected);
                   },
               },
               command);
    return effects;
}

Effects Cellar::advance_to(Timestamp now) {
    Effects effects;
    State& state = *state_;
    if (now <= state.now) return effects;
    if (state.now == Timestamp{}) {  // the first moment: nothing lies before it
        state.now = now;
        state.tick(effects);
        return effects;
    }
    const auto after = [](Timestamp t, Duration step) {
        return Timestamp{(t.time_since_epoch() / step + 1) * step};
    };
    while (true) {
        const Timestamp tick = after(state.now, tick_every);
        const Timestamp grid = after(state.now, state.spec.estimates_every);
        const Timestamp next = std::min(tick, grid);
        if (next > now) break;
        state.now = next;
        if (next == grid) state.estimate(effects);
        state.tick(effects);
    }
    state.now = now;
    if (state.late_since &&
        (now - *state.late_last >= late_settles || now - *state.late_since >= late_waits_at_most))
        state.estimate(effects);
    return effects;
}

void Cellar::rebuild(const Memory& memory, const Feed& feed, Timestamp now) {
    State& state = *state_;
    state.learned = memory.learned;
    for (const batch::Record& record : memory.running)
        if (VesselWatch* vessel = state.find(record.plan.vessel))
            vessel->recall(record, state.learned_for(record.plan));
    for (VesselWatch& vessel : state.vessels) {
        std::vector<alarms::Occurrence> standing;
        std::copy_if(memory.standing.begin(), memory.standing.end(), std::back_inserter(standing),
                     [&](const alarms::Occurrence& s) { return s.last.vessel == vessel.spec().id; });
        vessel.recall(standing);
    }
    std::vector<alarms::Occurrence> of_the_watch;
    std::copy_if(memory.standing.begin(), memory.standing.end(), std::back_inserter(of_the_watch),
                 [](const alarms::Occurrence& s) { return s.last.vessel.empty(); });
    state.watch_panel.restore(of_the_watch);
    feed([&](const ReadingPoint& reading) {
        if (reading.verdict != sensors::Verdict::accepted) return;
        if (reading.quantity == base::Quantity::barometric_pressure)
            for (VesselWatch& each : state.vessels) each.note_barometer(reading.at, reading.value);
        if (VesselWatch* vessel = state.find(reading.vessel)) vessel->recall(reading);
    });
    for (VesselWatch& vessel : state.vessels) vessel.recalled(now);
    state.now = now;
}

void Cellar::teach(const std::string& culture_name, estimation::LearnedCurve curve) {
    state_->learned[culture_name] = std::move(curve);
}

Timestamp Cellar::now() const {
    return state_->now;
}

std::vector<VesselView> Cellar::vessels() const {
    std::vector<VesselView> views;
    for (const VesselWatch& vessel : state_->vessels) views.push_back(vessel.view(state_->now));
    return views;
}

std::optional<VesselView> Cellar::vessel(const std::string& id) const {
    const VesselWatch* vessel = state_->find(id);
    return vessel == nullptr ? std::nullopt : std::optional{vessel->view(state_->now)};
}

std::map<std::string, estimation::LearnedCurve> Cellar::take_learned() {
    return std::exchange(state_->to_store, {});
}

}  // namespace gyled::cellar
