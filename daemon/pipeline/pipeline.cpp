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
    const cellar::Memory memory = store_.memory();
    const auto needed_from = [&](const std::string& vessel) {
        Timestamp from = now - parameters_.recent;
        for (const batch::Record& batch : memory.running)
            if (batch.plan.vessel == vessel) from = std::min(from, batch.started);
        return from;
    };
    const auto vessels = core_.vessels();
    core_.rebuild(
        memory,
        [&](const auto& take) {
            for (const auto& vessel : vessels)
                remember(vessel.spec.id, needed_from(vessel.spec.id), now, take);
        },
        now);
}

void Pipeline::remember(const std::string& vessel, Timestamp from, Timestamp now,
                        const Store::TakeReading& take) {
    store_.for_each_reading(vessel, from, now + parameters_.clock_slack,
                            [&](const cellar::ReadingPoint& reading) {
                                take(reading);
                                if (now - reading.at < parameters_.sensor_memory)
                                    intake_.remember(reading.sensor, reading.at, reading.value);
                            });
}

// ---- what comes in

bool Pipeline::drain(Timestamp now) {
    take_connection_events();
    const bool more = take_messages(now);
    settle(now);
    return more;
}

bool Pipeline::take_messages(Timestamp now) {
    const mqtt::MessageGroup group = source_.drain(parameters_.messages_at_once);
    if (group.messages.empty()) return group.more;
    if (parameters_.drive == Drive::clock) take(core_.advance_to(now));
    for (const sensors::Message& message : group.messages) {
        const sensors::Intaken intaken = intake_.accept(message);
        for (const sensors::Reject& reject : intaken.rejects) listener_.on_reject(reject);
        for (const sensors::Reading& reading : intaken.readings) take(reading);
    }
    unreleased_ = group.id;
    return group.more;
}

void Pipeline::take(const sensors::Reading& reading) {
    listener_.on_reading(reading);
    if (parameters_.drive == Drive::events && reading.verdict == sensors::Verdict::accepted &&
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
    take(core_.advance_to(now));
    settle(now);
}

Answer Pipeline::carry_out(const cellar::Command& command, Timestamp now) {
    take(core_.advance_to(now));
    try {
        teach(command);
    } catch (const std::runtime_error& problem) {
        return {{}, {problem.what()}};
    }
    cellar::Effects effects = core_.accept(command);
    Answer answer{effects.answers, effects.problems};
    take(std::move(effects));
    settle(now);
    return answer;
}

void Pipeline::teach(const cellar::Command& command) {
    const auto* start = std::get_if<cellar::StartBatch>(&command);
    if (start == nullptr) return;
    if (auto curve = store_.learned(start->plan.culture_name))
        core_.teach(start->plan.culture_name, std::move(*curve));
}

// ---- what goes out

void Pipeline::take(cellar::Effects&& effects) {
    if (effects.empty()) return;
    address(effects);
    listener_.on_effects(effects);
    ledger_.add(std::move(effects));
}

void Pipeline::address(cellar::Effects& effects) const {
    for (annunciation::Notice& notice : effects.notices) {
        if (!notice.recipients.empty()) continue;
        for (const annunciation::Recipient& recipient : parameters_.recipients)
            if (notice.priority >= recipient.at_least || notice.kind == annunciation::Notice::Kind::drill)
                notice.recipients.push_back(recipient.name);
    }
}

void Pipeline::settle(Timestamp now) {
    ledger_.add(core_.take_learned());
    if (ledger_.is_due(now))
        commit(now);
    else if (ledger_.empty())
        release();
}

void Pipeline::commit(Timestamp now) {
    if (ledger_.empty()) return release();
    if (const auto group = ledger_.commit(store_, now)) {
        release();
        listener_.on_commit(*group);
        return;
    }
    listener_.on_commit_failure(ledger_.problem());
    for (const annunciation::Notice& notice : ledger_.take_notices()) listener_.on_unstored_notice(notice);
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
    take(core_.advance_to(now));
    ledger_.add(core_.take_learned());
    commit(now);
}

}  // namespace gyled::pipeline
