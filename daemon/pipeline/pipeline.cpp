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
    try {
        take_up(now);
    } catch (const std::runtime_error& problem) {
        core_.skip_to(now);
        hold_backlogs({});
        memory_is_missing_ = true;
        memory_asked_at_ = now;
        ledger_.note_problem(problem.what(), now);
        listener_.on_commit_failure(problem.what());
    }
}

void Pipeline::resume_without_time() {
    without_time_ = true;
    resume({});
    core_.doubt_time();
    intake_.mark();
}

/// On a core that has seen nothing: one that stumbled half-way is thrown away. Without time (`now` is the
/// beginning of it) the core goes on where it ended.
void Pipeline::take_up(Timestamp now) {
    const Memory memory = store_.memory();
    cellar::Cellar core = core_.anew();
    core.restore(memory.core);
    (void)intake_.restore(memory.sensors);  // a sensor that is configured no more, or otherwise, begins anew
    const Timestamp ended = core.now() == Timestamp{} ? now : core.now();
    const Timestamp needed_from = core.readings_needed_from();
    store_.for_each_reading(std::min(needed_from, ended - parameters_.sensor_memory),
                            ended + parameters_.clock_slack, [&](const cellar::ReadingPoint& reading) {
                                if (reading.at >= needed_from) core.recall(reading);
                                remember(reading, ended);
                            });
    core.end_recall();
    hold_backlogs(core.now());
    core_ = std::move(core);
    memory_is_missing_ = false;
    if (now >= core_.now())
        core_.skip_to(now);
    else if (now != Timestamp{})
        rename({.from = core_.now(), .to = now});
}

/// In a log, the arrivals are all that is known of the time.
void Pipeline::hold_backlogs(Timestamp ended) {
    if (parameters_.drive == Drive::clock)
        intake_.hold_backlogs(ended == Timestamp{} ? std::nullopt : std::optional{ended});
}

/// The store can be read at last. What was watched meanwhile is written first, without the state that it led
/// to: that of the last run is the better one. An alarm that stands is annunciated once more; better twice
/// than never.
void Pipeline::take_up_late(Timestamp now) {
    if (memory_asked_at_ && now >= *memory_asked_at_ &&
        now - *memory_asked_at_ < parameters_.ledger.retry_after)
        return;
    memory_asked_at_ = now;
    try {
        (void)store_.memory();  // nothing is written to a store whose memory cannot be read
        ledger_.commit_events(store_);
        take_up(now);
    } catch (const std::runtime_error& problem) {
        ledger_.note_problem(problem.what(), now);
        return listener_.on_commit_failure(problem.what());
    }
    take(core_.accept(cellar::BrokerState{source_.figures().connected, now}));
    ledger_.forget_what_is_stored();
}

void Pipeline::store_renewed(Timestamp now) {
    if (memory_is_missing_ || without_time_) return;
    ledger_.forget_what_is_stored();
    commit(now);
}

void Pipeline::set_clock(const base::ClockSet& set) {
    pass_time(set.from);
    if (without_time_) intake_.return_to_mark();
    rename(set);
    if (set.false_since) false_until_ = set;
    if (std::exchange(without_time_, false)) take_again(set);
}

/// What came while nobody knew the time was judged, and is taken in by the right time now. A message may
/// carry its own time, or be one of a backlog: so no moved name would do.
void Pipeline::take_again(const base::ClockSet& set) {
    ledger_.forget_readings();
    for (sensors::Message& message : std::exchange(untimed_, {})) {
        if (message.stamp != sensors::Stamp::right) message.arrived = set.corrected(message.arrived);
        for (const sensors::Reading& reading : intake_.accept(message).readings)
            ledger_.add(core_.record(reading));
    }
    untimed_bytes_ = 0;
    if (!held_) held_ = unreleased_;
    unreleased_.reset();
}

void Pipeline::keep_untimed(sensors::Message&& message) {
    untimed_bytes_ += message.topic.size() + message.payload.size();
    if (untimed_bytes_ > parameters_.untimed_bytes_most) ledger_.turn_away(1);
    if (ledger_.turned_away() == 0) untimed_.push_back(std::move(message));
}

void Pipeline::rename(const base::ClockSet& set) {
    take(core_.set_clock(set));
    intake_.set_clock(set);
    ledger_.set_clock(set);
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
    look_ahead(now, more);
    take_a_second_time();
    if (core_.is_behind()) take(core_.catch_up());
    settle(now);
    return more || second_taking_ || ledger_.is_behind() || core_.is_behind();
}

bool Pipeline::take_messages(Timestamp now) {
    mqtt::MessageGroup group = source_.drain(parameters_.messages_at_once);
    if (group.messages.empty()) return group.more;
    if (parameters_.drive == Drive::clock) pass_time(now);
    const std::uint64_t turned_away = ledger_.turned_away();
    for (sensors::Message& message : group.messages) {
        if (is_of_another_time(message, now)) message.arrived = now;
        take(intake_.accept(message));
        if (without_time_) keep_untimed(std::move(message));
    }
    if (!group.in_spool) ledger_.give_up(turned_away);
    held_ = newest_group_ = group.id;
    take_backlogs(now);
    return group.more;
}

/// A spool of half a million messages takes a while: meanwhile a danger is not kept waiting behind them. It
/// is judged by an intake that is thrown away, and comes again in its turn.
void Pipeline::look_ahead(Timestamp now, bool more) {
    const std::vector<sensors::Message> ahead = source_.look_ahead(parameters_.messages_at_once);
    if (!ahead.empty() && !scout_) scout_.emplace(intake_.copy());
    if (!scout_) return;
    const auto look = [&](const sensors::Intaken& intaken) {
        for (const sensors::Reading& reading : intaken.readings) take(core_.look_ahead(reading));
    };
    for (const sensors::Message& message : ahead) look(scout_->accept(message));
    look(scout_->settle(now));
    if (!more) scout_.reset();
}

/// The store works again. What waits to be dated gets its time first.
bool Pipeline::may_take_again() const {
    return ledger_.turned_away() > 0 && !ledger_.is_behind() && !second_taking_ && !intake_.holds_a_backlog();
}

void Pipeline::begin_second_taking() {
    source_.rewind();
    second_taking_.emplace(intake_.twin(), ledger_.turned_away());
}

/// Some of it is stored already, and known by its key.
void Pipeline::take_a_second_time() {
    if (!second_taking_) return;
    mqtt::MessageGroup group = source_.drain_again(parameters_.messages_at_once);
    for (sensors::Message& message : group.messages) {
        if (false_until_ && message.arrived >= *false_until_->false_since &&
            message.arrived <= false_until_->from)
            message.arrived = false_until_->renamed(message.arrived);
        for (const sensors::Reading& reading : second_taking_->intake.accept(message).readings)
            if (auto point = core_.point_of(reading)) ledger_.add_again(std::move(*point));
    }
    const bool failed_anew = ledger_.turned_away() > second_taking_->turned_away;
    if (group.more && !failed_anew) return;
    second_taking_.reset();
    if (failed_anew) return;  // it begins anew when the store works again
    ledger_.none_is_turned_away();
    held_ = newest_group_;
}

/// What waits to be dated is not in the ledger yet, and what was judged and not kept is taken again: neither
/// may be forgotten by the source.
void Pipeline::take_backlogs(Timestamp now, bool at_once) {
    take(intake_.settle(now, at_once));
    if (held_ && !intake_.holds_a_backlog() && ledger_.turned_away() == 0)
        unreleased_ = std::exchange(held_, std::nullopt);
}

void Pipeline::take(const sensors::Intaken& intaken) {
    for (const sensors::Reject& reject : intaken.rejects) listener_.on_reject(reject);
    for (const sensors::Reading& reading : intaken.readings) take(reading);
}

/// Stamped just before the clock was set back, or under a wrong time in an earlier run: it has come by now.
bool Pipeline::is_of_another_time(const sensors::Message& message, Timestamp now) const {
    return message.stamp == sensors::Stamp::lost ||
           (parameters_.drive == Drive::clock && message.arrived > now + parameters_.clock_slack);
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
    if (memory_is_missing_ && !without_time_) take_up_late(now);
    take_connection_events();
    pass_time(now);
    take_backlogs(now);
    settle(now);
}

void Pipeline::note(const base::Impairments& impairments, Timestamp now) {
    take(core_.accept(cellar::Impaired{impairments, now}));
}

Answer Pipeline::carry_out(const cellar::Command& command, Timestamp now) {
    pass_time(now);
    cellar::Effects effects = core_.accept(command);
    Answer answer{effects.answers, effects.problems, effects.findings};
    take(std::move(effects));
    settle(now);
    return answer;
}

/// Nothing of it goes through the core, which would judge it: what concerns a running batch comes to it from
/// the store, as if it had always been there. So it may be brought twice.
base::Result<std::size_t, std::string> Pipeline::take_history(const std::vector<sensors::Reading>& readings,
                                                              bool is_last, Timestamp now) {
    if (without_time_ || memory_is_missing_ || !ledger_.store_ok())
        return base::Unexpected{std::string{"Nothing can be stored now: see gyle status."}};
    commit(now);  // what waits is not counted with it
    const std::uint64_t before = ledger_.stored();
    cellar::Effects history;
    for (const sensors::Reading& reading : readings)
        if (auto point = core_.point_of(reading)) {
            Timestamp& since = imported_.try_emplace(point->vessel, point->at).first->second;
            since = std::min(since, point->at);
            history.readings.push_back(*std::move(point));
        }
    ledger_.add(std::move(history));
    commit(now);
    if (!ledger_.store_ok()) return base::Unexpected{ledger_.problem()};
    if (is_last) recall_what_was_imported();
    settle(now);
    return static_cast<std::size_t>(ledger_.stored() - before);
}

void Pipeline::recall_what_was_imported() {
    for (const auto& [vessel, since] : std::exchange(imported_, {}))
        if (const auto view = core_.vessel(vessel); view && view->batch)
            recalls_.push_back({vessel, view->batch->started});
}

// ---- what goes out

void Pipeline::take(cellar::Effects&& effects) {
    if (effects.empty()) return;
    listener_.on_effects(effects);
    recalls_.insert(recalls_.end(), effects.recalls.begin(), effects.recalls.end());
    ledger_.add(std::move(effects));
}

void Pipeline::settle(Timestamp now) {
    if (without_time_) return hand_over_unstored_notices();
    if (!recalls_.empty()) answer_recalls(now);
    if (ledger_.is_due(now))
        commit(now);
    else if (ledger_.empty())
        release();
    if (!ledger_.store_ok()) hand_over_unstored_notices();
}

void Pipeline::commit(Timestamp now) {
    if (memory_is_missing_) return;
    const bool all_were_kept = ledger_.turned_away() == 0;
    if (const auto group = ledger_.commit(core_, intake_, store_, now)) {
        if (!ledger_.is_behind()) release();
        if (may_take_again()) begin_second_taking();
        listener_.on_commit(*group);
        return;
    }
    listener_.on_commit_failure(ledger_.problem());
    if (all_were_kept && ledger_.turned_away() > 0) unreleased_.reset();
}

/// They must not wait for a store.
void Pipeline::hand_over_unstored_notices() {
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
    take_backlogs(now, true);
    pass_time(now);
    if (without_time_)
        return hand_over_unstored_notices();  // the source keeps them for a run that knows the time
    commit(now);
    if (!ledger_.store_ok()) hand_over_unstored_notices();
}

}  // namespace gyled::pipeline
