#include "daemon/cellar/cellar.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/cellar/vessel.hpp"
#include "daemon/estimation/batch_estimator.hpp"
#include "daemon/estimation/gravity/teaching.hpp"

namespace gyled::cellar {
namespace {

using namespace std::chrono_literals;

/// When the core looks up by itself.
struct Rhythm {
    Duration tick = 1min;        ///< silence, delays and stage ends are seen within a minute
    Duration late_settles = 2s;  ///< late readings come in crowds: wait until none has come for so long
    Duration late_waits_at_most = 15s;  ///< but not longer than this
    Duration listening_gap = 2min;      ///< time that went by unseen for longer is no silence of the sensors
    Duration watched_closely = 24h;     ///< of a gap between two calls; beyond that it ticks ...
    Duration far = 1h;                  ///< ... by the hour
    Duration lived_most = 24h * 30;     ///< of a gap between two calls; no delay or patience is longer
};
constexpr Rhythm rhythm;

template <class... Handlers>
struct Overloaded : Handlers... {
    using Handlers::operator()...;
};
template <class... Handlers>
Overloaded(Handlers...) -> Overloaded<Handlers...>;

Timestamp next_multiple(Timestamp t, Duration step) {
    return Timestamp{(t.time_since_epoch() / step + 1) * step};
}

/// What is known of a culture then. `taught`: by the same batch at an earlier end.
std::optional<Taught> learn(LearnedCurves& known, std::optional<Teaching> teaching,
                            const std::optional<Taught>& taught = {}) {
    if (!teaching) return taught;
    const auto found = known.find(teaching->culture_name);
    auto before = found == known.end() ? std::nullopt : std::optional{found->second};
    if (taught && before == taught->curve) before = taught->before;
    auto& curve = known[teaching->culture_name];
    curve = estimation::joined(before, teaching->began_with, std::move(teaching->curve));
    return Taught{curve, std::move(before)};
}

}  // namespace

struct Cellar::State {
    explicit State(CellarSpec s) : spec{std::move(s)}, watch{"", spec} {
        spec.estimates_every = std::max(spec.estimates_every, estimation::BatchEstimator::grid);
        for (const batch::VesselSpec& vessel : spec.vessels) vessels.emplace_back(vessel, spec);
    }

    Vessel* find(const std::string& id) {
        for (Vessel& vessel : vessels)
            if (vessel.spec().id == id) return &vessel;
        return nullptr;
    }
    Vessel* named(const std::string& id, Effects& effects) {
        Vessel* vessel = find(id);
        if (vessel == nullptr) effects.problems.push_back(fmt::format("No vessel is called '{}'.", id));
        return vessel;
    }

    void set_broker(bool connected) {
        broker_connected = connected;
        for (Vessel& vessel : vessels) vessel.set_broker(connected);
    }

    void set_impairments(const Impaired& now_so, Effects& effects) {
        const bool changed = !base::are_the_same(impairments, now_so.impairments);
        impairments = now_so.impairments;
        if (changed) evaluate_watch(effects);
    }

    void evaluate_watch(Effects& effects) {
        alarms::Situation situation;
        situation.at = now;
        situation.broker_connected = broker_connected;
        situation.impairments = impairments;
        watch.evaluate(situation, effects);
    }

    void tick(Effects& effects) {
        for (Vessel& vessel : vessels) vessel.tick(now, effects);
        evaluate_watch(effects);
        if (spec.also_told_every && now.time_since_epoch() % *spec.also_told_every == Duration{0})
            for (const Vessel& vessel : vessels) vessel.tell_estimates(now, effects);
    }

    void estimate(Effects& effects) {
        for (Vessel& vessel : vessels) vessel.estimate(now, effects);
        late_since.reset();
    }

    /// What `vessel` may begin a batch with: what ended batches taught, and those in other vessels that have
    /// finished.
    [[nodiscard]] LearnedCurves known_to(const Vessel& vessel) const {
        LearnedCurves known = learned;
        for (const Vessel& other : vessels)
            if (&other != &vessel) (void)learn(known, other.teaching(), other.taught());
        return known;
    }

    void end_batch(Vessel& vessel, const EndBatch& command, Effects& effects) {
        auto known = learned;
        auto taught = learn(known, vessel.teaching(), vessel.taught());
        if (vessel.end(command, std::move(taught), now, effects)) learned = std::move(known);
    }

    /// A curve of no edition counts for nothing, and is kept so that the store forgets as well.
    void forget_culture(const std::string& culture, Effects& effects) {
        const auto found = learned.find(culture);
        if (found == learned.end() || found->second.batches == 0) {
            effects.problems.push_back(fmt::format("Nothing has been learnt of a culture '{}'.", culture));
            return;
        }
        found->second = {};
        effects.answers.push_back(fmt::format("What was learnt of the culture '{}' is forgotten.", culture));
    }

    void note_late() {
        if (!late_since) late_since = now;
        late_last = now;
    }
    [[nodiscard]] bool late_have_settled() const {
        return late_since &&
               (now - late_last >= rhythm.late_settles || now - *late_since >= rhythm.late_waits_at_most);
    }

    /// The desk at which this alarm stands.
    AlarmDesk* desk_of(const std::string& alarm, Effects& effects) {
        for (Vessel& vessel : vessels)
            if (vessel.alarms().stands(alarm)) return &vessel.alarms();
        if (watch.stands(alarm)) return &watch;
        effects.problems.push_back(fmt::format("No alarm '{}' stands.", alarm));
        return nullptr;
    }

    CellarSpec spec;
    std::vector<Vessel> vessels;
    AlarmDesk watch;  ///< of the watch itself: broker, impairments
    Timestamp now{};
    bool broker_connected = true;
    base::Impairments impairments;
    std::optional<Timestamp> late_since;
    Timestamp late_last{};
    LearnedCurves learned;  ///< from batches that have ended
};

Cellar::Cellar(CellarSpec spec) : state_{std::make_unique<State>(std::move(spec))} {}
Cellar::~Cellar() = default;
Cellar::Cellar(Cellar&&) noexcept = default;
Cellar& Cellar::operator=(Cellar&&) noexcept = default;

Cellar Cellar::anew() const {
    return Cellar{state_->spec};
}

// ---- readings

Effects Cellar::accept(const sensors::Reading& reading) {
    Effects effects;
    State& state = *state_;
    if (reading.quality == sensors::Quality::last_known) return effects;
    Vessel* vessel = state.named(reading.vessel, effects);
    if (vessel == nullptr) return effects;
    // The air outside is the same for all vessels of the site.
    if (reading.quantity == base::Quantity::barometric_pressure &&
        reading.quality == sensors::Quality::accepted)
        for (Vessel& each : state.vessels) each.note_barometer(reading.at, reading.value);
    vessel->accept(reading, state.now, effects);
    if (vessel->has_late_readings()) state.note_late();
    return effects;
}

Effects Cellar::look_ahead(const sensors::Reading& reading) {
    Effects effects;
    if (Vessel* vessel = state_->find(reading.vessel)) vessel->look_ahead(reading, state_->now, effects);
    return effects;
}

std::optional<ReadingPoint> Cellar::point_of(const sensors::Reading& reading) const {
    const Vessel* vessel = state_->find(reading.vessel);
    if (vessel == nullptr || reading.quality == sensors::Quality::last_known) return std::nullopt;
    return vessel->point_of(reading);
}

// ---- commands

Effects Cellar::accept(const Command& command) {
    Effects effects;
    State& state = *state_;
    const auto at_vessel = [&](const std::string& id, const auto& order) {
        if (Vessel* vessel = state.named(id, effects)) order(*vessel);
    };
    const auto done = [&](const base::Result<bool, std::string>& result) {
        if (!result) effects.problems.push_back(result.error());
    };
    std::visit(
        Overloaded{
            [&](const StartBatch& c) {
                at_vessel(c.plan.vessel,
                          [&](Vessel& v) { v.start(c, state.known_to(v), state.now, effects); });
            },
            [&](const EnterStage& c) {
                at_vessel(c.vessel, [&](Vessel& v) { v.enter(c, state.now, effects); });
            },
            [&](const UndoStep& c) {
                at_vessel(c.vessel, [&](Vessel& v) { v.undo(c, state.now, effects); });
            },
            [&](const EndBatch& c) {
                at_vessel(c.vessel, [&](Vessel& v) { state.end_batch(v, c, effects); });
            },
            [&](const Measure& c) {
                at_vessel(c.vessel, [&](Vessel& v) { v.measure(c, state.now, effects); });
            },
            [&](const UndoMeasurement& c) { at_vessel(c.vessel, [&](Vessel& v) { v.undo(c, effects); }); },
            [&](const CorrectBatch& c) {
                at_vessel(c.vessel, [&](Vessel& v) { v.correct(c, state.known_to(v), state.now, effects); });
            },
            [&](const ForgetVessel& c) {
                at_vessel(c.vessel, [&](Vessel& v) { v.forget_learned(state.now, effects); });
            },
            [&](const ForgetCulture& c) { state.forget_culture(c.culture, effects); },
            [&](const Acknowledge& c) {
                if (AlarmDesk* desk = state.desk_of(c.alarm, effects)) done(desk->acknowledge(c, effects));
            },
            [&](const Shelve& c) {
                if (AlarmDesk* desk = state.desk_of(c.alarm, effects)) done(desk->shelve(c, effects));
            },
            [&](const BrokerState& c) { state.set_broker(c.connected); },
            [&](const Impaired& c) { state.set_impairments(c, effects); },
        },
        command);
    return effects;
}

// ---- time

Effects Cellar::advance_to(Timestamp now) {
    Effects effects;
    State& state = *state_;
    if (now <= state.now) return effects;
    if (state.now == Timestamp{}) {  // the first moment: nothing lies before it
        state.now = now;
        state.tick(effects);
        return effects;
    }
    const Timestamp close_until = state.now + rhythm.watched_closely;
    const Timestamp lived_until = state.now + rhythm.lived_most;
    while (true) {
        if (state.now >= lived_until) state.now = std::max(state.now, now - rhythm.tick);
        const Duration least = state.now >= close_until && state.now < lived_until ? rhythm.far : rhythm.tick;
        const Timestamp tick = next_multiple(state.now, least);
        const Timestamp grid = next_multiple(state.now, std::max(state.spec.estimates_every, least));
        const Timestamp next = std::min(tick, grid);
        if (next > now) break;
        state.now = next;
        if (next == grid) state.estimate(effects);
        state.tick(effects);
    }
    state.now = now;
    for (Vessel& vessel : state.vessels) vessel.settle(now, effects);
    if (state.late_have_settled()) state.estimate(effects);
    return effects;
}

bool Cellar::is_behind() const {
    if (state_->late_since) return false;  // late readings are left to settle first
    return std::any_of(state_->vessels.begin(), state_->vessels.end(),
                       [&](const Vessel& vessel) { return vessel.is_behind(state_->now); });
}

Effects Cellar::catch_up() {
    Effects effects;
    for (Vessel& vessel : state_->vessels)
        if (vessel.is_behind(state_->now)) vessel.estimate(state_->now, effects);
    return effects;
}

void Cellar::skip_to(Timestamp now) {
    State& state = *state_;
    if (now - state.now <= rhythm.listening_gap) return;
    state.now = now;
    state.watch.listen_from(now);
    for (Vessel& vessel : state.vessels) vessel.skip_to(now);
}

void Cellar::doubt_time() {
    for (Vessel& vessel : state_->vessels) vessel.doubt_time();
}

Effects Cellar::record(const sensors::Reading& reading) {
    Effects effects;
    if (Vessel* vessel = state_->named(reading.vessel, effects)) vessel->record(reading, effects);
    if (reading.quantity == base::Quantity::barometric_pressure &&
        reading.quality == sensors::Quality::accepted)
        for (Vessel& each : state_->vessels) each.note_barometer(reading.at, reading.value);
    return effects;
}

Effects Cellar::set_clock(const base::ClockSet& set) {
    Effects effects;
    State& state = *state_;
    state.now = set.to;
    state.watch.set_clock(set, {});
    for (Vessel& vessel : state.vessels) vessel.set_clock(set, effects);
    state.late_since.reset();
    return effects;
}

// ---- memory

void Cellar::restore(const Memory& memory) {
    State& state = *state_;
    state.learned = memory.learned;
    for (const VesselState& each : memory.states) {
        state.now = std::max(state.now, each.at);
        if (each.vessel.empty()) {
            state.watch.restore(each);
            state.set_broker(each.broker_connected);
            state.impairments = each.impairments;
        }
        if (Vessel* vessel = state.find(each.vessel)) vessel->restore(each);
    }
}

Timestamp Cellar::readings_needed_from() const {
    Timestamp from = state_->now;
    for (const Vessel& vessel : state_->vessels)
        from = std::min(from, vessel.readings_needed_from(state_->now));
    return from;
}

void Cellar::recall(const ReadingPoint& reading) {
    State& state = *state_;
    if (reading.quality != sensors::Quality::accepted) return;
    if (reading.quantity == base::Quantity::barometric_pressure)
        for (Vessel& each : state.vessels) each.note_barometer(reading.at, reading.value);
    if (Vessel* vessel = state.find(reading.vessel)) vessel->recall(reading);
}

void Cellar::end_recall() {
    for (Vessel& vessel : state_->vessels) vessel.end_recall(state_->now);
}

void Cellar::begin_recall(const std::string& id) {
    if (Vessel* vessel = state_->find(id)) vessel->begin_recall();
}

void Cellar::recall(const std::string& id, const ReadingPoint& reading) {
    Vessel* vessel = state_->find(id);
    if (vessel == nullptr || reading.quality != sensors::Quality::accepted) return;
    if (reading.quantity == base::Quantity::barometric_pressure)
        vessel->note_barometer(reading.at, reading.value);
    if (reading.vessel == id) vessel->recall(reading);
}

Effects Cellar::end_recall(const std::string& id) {
    Effects effects;
    if (Vessel* vessel = state_->find(id)) vessel->estimate(state_->now, effects);
    return effects;
}

std::vector<VesselState> Cellar::states() const {
    VesselState watch;
    watch.at = state_->now;
    watch.broker_connected = state_->broker_connected;
    watch.impairments = state_->impairments;
    state_->watch.save(watch);
    std::vector<VesselState> states{std::move(watch)};
    for (const Vessel& vessel : state_->vessels) states.push_back(vessel.state(state_->now));
    return states;
}

const LearnedCurves& Cellar::learned() const {
    return state_->learned;
}

// ---- what others see

Timestamp Cellar::now() const {
    return state_->now;
}

std::vector<VesselView> Cellar::vessels() const {
    std::vector<VesselView> views;
    for (const Vessel& vessel : state_->vessels) views.push_back(vessel.view(state_->now));
    return views;
}

std::vector<alarms::Occurrence> Cellar::watch_alarms() const {
    return state_->watch.standing();
}

bool Cellar::has_vessel(const std::string& id) const {
    return state_->find(id) != nullptr;
}

std::optional<VesselView> Cellar::vessel(const std::string& id) const {
    const Vessel* vessel = state_->find(id);
    return vessel == nullptr ? std::nullopt : std::optional{vessel->view(state_->now)};
}

std::optional<estimation::Foresight> Cellar::foresight(const std::string& id) const {
    const Vessel* vessel = state_->find(id);
    return vessel == nullptr ? std::nullopt : vessel->foresight(state_->now);
}

}  // namespace gyled::cellar
