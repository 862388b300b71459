#include "daemon/pipeline/pipeline.hpp"

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace gyled::pipeline {

Pipeline::Pipeline(cellar::Cellar core, sensors::Intake intake, mqtt::Source& source, Store& store,
                   Listener& listener, Parameters parameters)
    : parameters_{std::move(parameters)},
      core_{std::move(core)},
      intake_{std::move(intake)},
      source_{source},
      store_{store},
      listener_{listener},
      ledger_{parameters_.ledger} {}

// ---- a restart

void Pipeline::resume(Timestamp now) {
    recall_last_run(now);
    if (now >= core_.now())
        core_.skip_to(now);
    else if (core_.now() != Timestamp{})
        set_clock({.from = core_.now(), .to = now});
}

void Pipeline::resume_without_time() {
    without_time_ = true;
    recall_last_run({});
}

void Pipeline::recall_last_run(Timestamp now) {
    const Memory memory = store_.memory();
    core_.restore(memory.core);
    (void)intake_.restore(memory.sensors);  // a sensor that is configured no more, or otherwise, begins anew
    const Timestamp ended = core_.now() == Timestamp{} ? now : core_.now();
    const Timestamp needed_from = core_.readings_needed_from();
    store_.for_each_reading(std::min(needed_from, ended - parameters_.sensor_memory),
                            ended + parameters_.clock_slack, [&](const cellar::ReadingPoint& reading) {
                                if (reading.at >= needed_from) core_.recall(reading);
                                remember(reading, ended);
                            });
    core_.end_recall();
}

void Pipeline::set_clock(const base::ClockSet& set) {
    pass_time(set.from);
    take(core_.set_clock(set));
    intake_.set_clock(set);
    ledger_.set_clock(set);
    without_time_ = false;
}

/// Only of use for readings that come late. Pressures are left out: the store holds them as gauge, their
/// sensor may count absolute.
void Pipeline::remember(const cellar::ReadingPoint& reading, Timestamp now) {
    const bool is_pressure = reading.quantity == base::Quantity::head_pressure ||
                             reading.quantity == base::Quantity::supply_pressure;
    if (!is_pressure && now - reading.at < parameters_.sensor_memory)
        intake_.remember(reading.sensor, reading.at, reading.value);
}

// ---- what comes in

bool Pipeline::drain(Timestamp now) {
    take_connection_events();
    const bool more = take_messages(now);
    if (core_.is_behind()) take(core_.catch_up());
    settle(now);
    return more || core_.is_behind();
}

bool Pipeline::take_messages(Timestamp now) {
    mqtt::MessageGroup group = source_.drain(parameters_.messages_at_once);
    if (group.messages.empty()) return group.more;
    if (parameters_.drive == Drive::clock) pass_time(now);
    for (sensors::Message& message : group.messages) {
        if (is_of_another_time(message, now)) message.arrived = now;
        const sensors::Intaken intaken = intake_.accept(message);
        for (const sensors::Reject& reject : intaken.rejects) listener_.on_reject(reject);
        for (const sensors::Reading& reading : intaken.readings) take(reading);
    }
    unreleased_ = group.id;
    return group.more;
}

/// Stamped just before the clock was set back, or under a wrong time in an earlier run: it has come by now.
bool Pipeline::is_of_another_time(const sensors::Message& message, Timestamp now) const {
    return parameters_.drive == Drive::clock && message.arrived > now + parameters_.clock_slack;
}

/// A machine that slept, and a loop that was held up, heard nothing: that is nobody's silence.
void Pipeline::pass_time(Timestamp now) {
    if (parameters_.drive == Drive::clock) core_.skip_to(now);
    take(core_.advance_to(now));
}

void Pipeline::take(const sensors::Reading& reading) {
    listener_.on_reading(reading);
    if (parameters_.drive == Drive::events && reading.quality == sensors::Quality::accepted &&
        reading.at > core_.now())
        take(core_.advance_to(reading.at));
    take(core_.accept(reading));
}

void Pipeline::take_connection_events() {
    using Kind = mqtt::ConnectionEvent::Kind;
    for (const mqtt::ConnectionEvent& event : source_.take_events()) {
        listener_.on_connection(event);
        if (event.kind == Kind::connected || event.kind == Kind::disconnected)
            take(core_.accept(cellar::BrokerState{event.kind == Kind::connected, event.at}));
    }
}

void Pipeline::advance(Timestamp now) {
    take_connection_events();
    pass_time(now);
    settle(now);
}

void Pipeline::note(const base::Impairments& impairments, Timestamp now) {
    take(core_.accept(cellar::Impaired{impairments, now}));
}

Answer Pipeline::carry_out(const cellar::Command& command, Timestamp now) {
    pass_time(now);
    cellar::Effects effects = core_.accept(command);
    Answer answer{effects.answers, effects.problems};
    take(std::move(effects));
    settle(now);
    return answer;
}

// ---- what goes out

void Pipeline::take(cellar::Effects&& effects) {
    if (effects.empty()) return;
    listener_.on_effects(effects);
    recalls_.insert(recalls_.end(), effects.recalls.begin(), effects.recalls.end());
    ledger_.add(std::move(effects));
}

void Pipeline::settle(Timestamp now) {
    if (without_time_) return tell_past_the_outbox();
    if (!recalls_.empty()) answer_recalls(now);
    if (ledger_.is_due(now))
        commit(now);
    else if (ledger_.empty())
        release();
}

void Pipeline::commit(Timestamp now) {
    if (const auto group = ledger_.commit(core_, intake_, store_, now)) {
        release();
        listener_.on_commit(*group);
        return;
    }
    listener_.on_commit_failure(ledger_.problem());
    tell_past_the_outbox();
}

void Pipeline::tell_past_the_outbox() {
    for (const annunciation::Notice& notice : ledger_.take_notices()) listener_.on_unstored_notice(notice);
}

/// What is asked for may lie in the pending group: so commit first. With a store that fails, the core is
/// asked to begin anew only when all it had can be given back.
void Pipeline::answer_recalls(Timestamp now) {
    if (!ledger_.store_ok() && !ledger_.is_due(now)) return;
    commit(now);
    if (!ledger_.store_ok()) return;
    for (const cellar::Recall& recall : std::exchange(recalls_, {})) answer(recall, now);
}

void Pipeline::answer(const cellar::Recall& recall, Timestamp now) try {
    std::vector<cellar::ReadingPoint> readings;
    store_.for_each_reading(recall.from, now + parameters_.clock_slack,
                            [&](const cellar::ReadingPoint& reading) { readings.push_back(reading); });
    core_.begin_recall(recall.vessel);
    for (const cellar::ReadingPoint& reading : readings) core_.recall(recall.vessel, reading);
    take(core_.end_recall(recall.vessel));
} catch (const std::runtime_error& problem) {
    recalls_.push_back(recall);
    listener_.on_commit_failure(problem.what());
}

void Pipeline::release() {
    if (!unreleased_) return;
    source_.release(*unreleased_);
    unreleased_.reset();
}

void Pipeline::stop(Timestamp now) {
    source_.stop();
    while (take_messages(now)) {
    }
    pass_time(now);
    if (without_time_) return tell_past_the_outbox();  // the source keeps them for a run that knows the time
    commit(now);
}

}  // namespace gyled::pipeline
