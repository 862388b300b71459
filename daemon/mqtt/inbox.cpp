#include "daemon/mqtt/inbox.hpp"

#include <algorithm>
#include <exception>
#include <iterator>
#include <thread>
#include <utility>

#include "sensors/topic.hpp"

namespace gyled::mqtt {
namespace {

std::size_t bytes_of(const Message& message) {
    return message.topic.size() + message.payload.size();
}

}  // namespace

Inbox::Inbox(const Settings& settings, Timestamp now, std::function<void()> wake)
    : settings_{settings},
      wake_{std::move(wake)},
      resent_{settings.spool.empty() ? std::string{} : settings.spool + ".packets"},
      arrivals_{settings.filters} {
    if (!settings_.spool.empty()) open_spool(now);
    arrivals_ = Arrivals{settings_.filters, resent_.latest_arrival()};
}

void Inbox::open_spool(Timestamp now) try {
    spool_.emplace(settings_.spool, settings_.spool_limits);
    sequence_last_put_ = spool_->left_over();
    left_over_drained_ = spool_->left_over() == 0;
    figures_.received = figures_.replayed = spool_->left_over();
    figures_.spool_torn_bytes = spool_->torn_bytes();
    if (const auto& newest = spool_->newest_left_over(); newest && newest->may_come_again)
        resent_.note_newest_spooled(newest->message);
} catch (const SpoolInUse&) {
    throw;
} catch (const std::exception& problem) {
    // The watch over the pressure must not end with it. A folder that is not there comes with a restart.
    tell_spool_problem(std::string{problem.what()} + "; going on without a spool until the next start", now);
}

// ---- what comes in

void Inbox::put(Message message, Delivery how) noexcept try {
    const std::lock_guard turn{turn_};
    if (refuse(message)) return;
    if (how == Delivery::again && resent_.is_known(message)) return;
    wait_for_room();
    stamp(message);
    ++sequence_last_put_;
    if (!settings_.clock_is_set()) message.stamp = sensors::Stamp::provisional;
    const bool in_spool = spool(message, how);
    if (how != Delivery::unacknowledged) resent_.note(message);
    bool was_quiet = false;
    {
        const std::lock_guard guard{mutex_};
        was_quiet = queue_.empty() && events_.empty();
        queue_bytes_ += bytes_of(message);
        queue_.push_back({std::move(message), in_spool});
        ++figures_.received;
    }
    if (was_quiet) wake_();
} catch (const std::exception&) {
    // Out of memory is the only way here; to return would acknowledge a message that we do not have.
    std::terminate();
}

/// The broker's session may still hold what an earlier configuration subscribed to; and whoever may publish
/// could else fill spool and memory with what no sensor reads.
bool Inbox::refuse(const Message& message) {
    const bool oversized = message.payload.size() > settings_.payload_limit;
    const bool claimed =
        settings_.filters.empty() || std::ranges::any_of(settings_.filters, [&](const std::string& filter) {
            return sensors::topic_matches(filter, message.topic);
        });
    if (!oversized && claimed) return false;
    const std::lock_guard guard{mutex_};
    ++(claimed ? figures_.oversized : figures_.unclaimed);
    return true;
}

void Inbox::stamp(Message& message) {
    const Timestamp now = std::exchange(message.arrived, arrivals_.stamp(message.topic, message.arrived));
    if (message.arrived - now > Arrivals::ahead_max)
        std::this_thread::sleep_for(message.arrived - now - Arrivals::ahead_max);
}

bool Inbox::has_room() const {
    return !waiting_allowed_ || queue_.empty() ||
           (queue_.size() < settings_.queue_bound && queue_bytes_ < settings_.queue_bytes_bound);
}

void Inbox::connected() {
    const std::lock_guard turn{turn_};
    resent_.connected();
}

void Inbox::wait_for_room() {
    std::unique_lock lock{mutex_};
    if (has_room()) return;
    ++figures_.waited;
    room_.wait(lock, [this] { return has_room(); });
}

/// Is it there now?
bool Inbox::spool(const Message& message, Delivery how) {
    if (!spool_) return false;
    if (const auto problem = spool_->append(sequence_last_put_, message, how != Delivery::unacknowledged)) {
        tell_spool_problem(*problem, message.arrived);
        return false;
    }
    const std::lock_guard guard{mutex_};
    figures_.spool_failing_since.reset();
    figures_.spool_problem.clear();
    return true;
}

/// Told once, until it has worked again.
void Inbox::tell_spool_problem(const std::string& problem, Timestamp at) {
    {
        const std::lock_guard guard{mutex_};
        ++figures_.spool_failures;
        figures_.spool_problem = problem;
        if (std::exchange(figures_.spool_failing_since, figures_.spool_failing_since.value_or(at))) return;
    }
    note({ConnectionEvent::Kind::spool_failed, problem, at});
}

void Inbox::note(ConnectionEvent event) noexcept try {
    bool was_quiet = false;
    {
        const std::lock_guard guard{mutex_};
        was_quiet = queue_.empty() && events_.empty();
        events_.push_back(std::move(event));
    }
    if (was_quiet) wake_();
} catch (const std::exception&) {
    std::terminate();  // out of memory, as above
}

void Inbox::stop_waiting() {
    {
        const std::lock_guard guard{mutex_};
        waiting_allowed_ = false;
    }
    room_.notify_all();
}

// ---- what goes out

MessageGroup Inbox::drain(std::size_t max) {
    return left_over_drained_ ? drain_queue(max) : drain_spool(max);
}

MessageGroup Inbox::drain_spool(std::size_t max) {
    Spool::Taken taken = spool_->take_left_over(max, settings_.group_bytes_bound);
    left_over_drained_ = !taken.more;
    const std::lock_guard guard{mutex_};
    sequence_last_drained_ = taken.sequence_last;
    return {.id = sequence_last_drained_,
            .messages = std::move(taken.messages),
            .more = taken.more || !queue_.empty(),
            .in_spool = true};
}

MessageGroup Inbox::drain_queue(std::size_t max) {
    MessageGroup group;
    {
        const std::lock_guard guard{mutex_};
        std::size_t bytes = 0;
        if (!queue_.empty()) group.in_spool = queue_.front().in_spool;
        for (; !queue_.empty() && queue_.front().in_spool == group.in_spool && group.messages.size() < max &&
               bytes < settings_.group_bytes_bound;
             queue_.pop_front()) {
            bytes += bytes_of(queue_.front().message);
            group.messages.push_back(std::move(queue_.front().message));
        }
        queue_bytes_ -= bytes;
        group.id = sequence_last_drained_ += group.messages.size();
        group.more = !queue_.empty();
    }
    room_.notify_all();
    return group;
}

std::vector<Message> Inbox::look_ahead(std::size_t max) {
    std::vector<Message> ahead;
    if (left_over_drained_) return ahead;
    const std::lock_guard guard{mutex_};
    for (; looked_at_ < queue_.size() && ahead.size() < max; ++looked_at_)
        ahead.push_back(queue_[looked_at_].message);
    return ahead;
}

void Inbox::release(std::uint64_t batch) {
    if (spool_) spool_->release(batch);
}

void Inbox::rewind() {
    if (!spool_) return;
    std::uint64_t drained = 0;
    {
        const std::lock_guard guard{mutex_};
        drained = sequence_last_drained_;
    }
    spool_->rewind(drained);
}

MessageGroup Inbox::drain_again(std::size_t max) {
    if (!spool_) return {};
    Spool::Taken taken = spool_->take_again(max, settings_.group_bytes_bound);
    return {.id = 0, .messages = std::move(taken.messages), .more = taken.more, .in_spool = true};
}

std::vector<ConnectionEvent> Inbox::take_events() {
    const std::lock_guard guard{mutex_};
    return std::exchange(events_, {});
}

Figures Inbox::figures() const {
    const std::lock_guard guard{mutex_};
    Figures figures = figures_;
    figures.queue_depth = queue_.size();
    if (figures_.replayed > sequence_last_drained_)
        figures.queue_depth += figures_.replayed - sequence_last_drained_;
    return figures;
}

}  // namespace gyled::mqtt
