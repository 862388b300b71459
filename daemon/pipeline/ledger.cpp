#include "daemon/pipeline/ledger.hpp"

#include <stdexcept>
#include <utility>

namespace gyled::pipeline {
namespace {

/// Drops the oldest beyond the bound.
template <class T>
void bound(std::vector<T>& values, std::size_t most) {
    if (values.size() > most) values.erase(values.begin(), values.end() - static_cast<std::ptrdiff_t>(most));
}

bool has_passed(Duration span, std::optional<Timestamp> since, Timestamp now) {
    return !since || now < *since || now - *since >= span;
}

}  // namespace

void Ledger::add(cellar::Effects&& effects) {
    effects.problems.clear();
    effects.answers.clear();
    effects.recalls.clear();
    urgent_ = urgent_ || !effects.transitions.empty() || !effects.notices.empty() || !effects.batches.empty();
    if (must_keep()) keep(std::exchange(effects.readings, {}));
    if (group_.effects.readings.size() >= parameters_.readings_waiting_max)
        turned_away_ += std::exchange(effects.readings, {}).size();
    group_.effects.append(std::move(effects));
    bound(group_.effects.estimates, parameters_.estimates_kept_max);
}

void Ledger::add_again(cellar::ReadingPoint&& reading) {
    if (must_keep()) return keep(reading);
    group_.effects.readings.push_back(std::move(reading));
}

void Ledger::keep(std::vector<cellar::ReadingPoint>&& readings) {
    for (const cellar::ReadingPoint& reading : readings) keep(reading);
}

void Ledger::keep(const cellar::ReadingPoint& reading) {
    if (kept_.size() < parameters_.readings_kept_max)
        kept_.push(reading);
    else
        ++turned_away_;
}

void Ledger::give_up(std::uint64_t before) {
    lost_ += turned_away_ - before;
    turned_away_ = before;
}

void Ledger::forget_readings() {
    group_.effects.readings.clear();
    group_.effects.estimates.clear();
    kept_ = {};
}

void Ledger::set_clock(const base::ClockSet& set) {
    set.rename(last_commit_);
    set.rename(last_attempt_);
    if (!set.false_since) return;  // nobody can say that what waits was named falsely
    const auto correct = [&](Timestamp& t) { t = set.corrected(t); };
    for (alarms::Transition& step : group_.effects.transitions) {
        correct(step.at);
        correct(step.raised_at);
        correct(step.evidence_at);
    }
    for (cellar::FactChange& change : group_.effects.facts) correct(change.fact.at);
}

bool Ledger::may_try(Timestamp now) const {
    return store_ok() || has_passed(parameters_.retry_after, last_attempt_, now);
}

bool Ledger::is_due(Timestamp now) const {
    if (empty() || !may_try(now)) return false;
    return urgent_ || is_behind() || group_.effects.readings.size() >= parameters_.readings_at_once ||
           has_passed(parameters_.commit_every, last_commit_, now);
}

/// A learnt curve and a sensor's memory change seldom, beside those of the vessels.
void Ledger::take_state(const cellar::Cellar& core, const sensors::Intake& intake) {
    group_.states = core.states();
    group_.learned.clear();
    for (const auto& [culture, curve] : core.learned())
        if (const auto known = learned_committed_.find(culture);
            known == learned_committed_.end() || known->second != curve)
            group_.learned.emplace(culture, curve);
    group_.sensors.clear();
    for (sensors::SensorState& state : intake.state())
        if (const auto known = sensors_committed_.find(state.sensor);
            known == sensors_committed_.end() || known->second != state)
            group_.sensors.push_back(std::move(state));
}

void Ledger::note_committed() {
    for (const auto& [culture, curve] : group_.learned) learned_committed_.insert_or_assign(culture, curve);
    for (const sensors::SensorState& state : group_.sensors)
        sensors_committed_.insert_or_assign(state.sensor, state);
}

void Ledger::forget_what_is_stored() {
    learned_committed_.clear();
    sensors_committed_.clear();
    urgent_ = true;
}

void Ledger::note_problem(std::string problem, Timestamp now) {
    last_attempt_ = now;
    problem_ = std::move(problem);
    keep(std::exchange(group_.effects.readings, {}));
}

/// A group of the usual size, the oldest; it is gone from here when it is written.
void Ledger::write_kept(Store& store) {
    if (kept_.empty()) return;
    Commit group;
    group.effects.readings = kept_.front(parameters_.readings_at_once);
    stored_ += store.write(group);
    kept_.pop(group.effects.readings.size());
}

void Ledger::commit_events(Store& store) {
    while (!kept_.empty()) write_kept(store);
    Commit events;
    events.effects = group_.effects;
    stored_ += store.write(events);
    group_ = {};
}

std::optional<Commit> Ledger::commit(const cellar::Cellar& core, const sensors::Intake& intake, Store& store,
                                     Timestamp now) {
    last_attempt_ = now;
    take_state(core, intake);
    try {
        write_kept(store);
        stored_ += store.write(group_);
    } catch (const std::runtime_error& error) {
        note_problem(error.what(), now);
        return std::nullopt;
    }
    note_committed();
    problem_.clear();
    urgent_ = false;
    last_commit_ = now;
    return std::exchange(group_, {});
}

}  // namespace gyled::pipeline
