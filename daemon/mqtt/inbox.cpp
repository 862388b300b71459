#include "daemon/mqtt/inbox.hpp"

#include <algorithm>
#include <exception>
#include <iterator>
#include <utility>

namespace gyled::mqtt {

Inbox::Inbox(const Settings& settings, std::function<void()> wake)
    : queue_bound_{std::max<std::size_t>(settings.queue_bound, 1)},
      payload_limit_{settings.payload_limit},
      wake_{std::move(wake)},
      resent_{settings.spool.empty() ? std::string{} : settings.spool + ".packets"},
      arrivals_{settings.filters, resent_.latest_arrival()} {
    if (settings.spool.empty()) return;
    spool_.emplace(settings.spool);
    for (Message& message : spool_->take_left_over()) queue_.push_back(std::move(message));
    sequence_last_put_ = queue_.size();
    figures_.received = figures_.replayed = queue_.size();
    figures_.spool_torn_bytes = spool_->torn_bytes();
}

void Inbox::put(Message message, Delivery how) noexcept try {
    const std::lock_guard turn{turn_};
    if (message.payload.size() > payload_limit_) {
        const std::lock_guard guard{mutex_};
        ++figures_.oversized;
        return;
    }
    if (how == Delivery::again && resent_.is_known(message)) return;
    wait_for_room();
    message.arrived = arrivals_.stamp(message.topic, message.arrived);
    ++sequence_last_put_;
    spool(message);
    if (how != Delivery::unacknowledged) resent_.note(message);
    bool was_quiet = false;
    {
        const std::lock_guard guard{mutex_};
        was_quiet = queue_.empty() && events_.empty();
        queue_.push_back(std::move(message));
        ++figures_.received;
    }
    if (was_quiet) wake_();
} catch (const std::exception&) {
    // Out of memory is the only way here; to return would acknowledge a message that we do not have.
    std::terminate();
}

void Inbox::connected() {
    const std::lock_guard turn{turn_};
    resent_.connected();
}

void Inbox::wait_for_room() {
    std::unique_lock lock{mutex_};
    if (queue_.size() < queue_bound_ || !waiting_allowed_) return;
    ++figures_.waited;
    room_.wait(lock, [this] { return queue_.size() < queue_bound_ || !waiting_allowed_; });
}

void Inbox::spool(const Message& message) {
    if (!spool_) return;
    const std::optional<std::string> problem = spool_->append(sequence_last_put_, message);
    if (problem) {
        const std::lock_guard guard{mutex_};
        ++figures_.spool_failures;
    }
    const bool news = spool_works_ && problem;  // told once, until it has worked again
    spool_works_ = !problem;
    if (news) note({ConnectionEvent::Kind::spool_failed, *problem, message.arrived});
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

MessageGroup Inbox::drain(std::size_t max) {
    MessageGroup batch;
    {
        const std::lock_guard guard{mutex_};
        const std::size_t count = std::min(max, queue_.size());
        const auto end = queue_.begin() + static_cast<std::ptrdiff_t>(count);
        batch.messages.assign(std::make_move_iterator(queue_.begin()), std::make_move_iterator(end));
        queue_.erase(queue_.begin(), end);
        batch.id = sequence_last_drained_ += count;
        batch.more = !queue_.empty();
    }
    room_.notify_all();
    return batch;
}

void Inbox::release(std::uint64_t batch) {
    if (spool_) spool_->release(batch);
}

std::vector<ConnectionEvent> Inbox::take_events() {
    const std::lock_guard guard{mutex_};
    return std::exchange(events_, {});
}

Figures Inbox::figures() const {
    const std::lock_guard guard{mutex_};
    Figures figures = figures_;
    figures.queue_depth = queue_.size();
    return figures;
}

}  // namespace gyled::mqtt
