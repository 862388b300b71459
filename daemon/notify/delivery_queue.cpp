#include "daemon/notify/delivery_queue.hpp"

#include <algorithm>
#include <cassert>

namespace gyled::notify {
namespace {

using alarms::Priority;

/// Reports of those that left before the latest so many have long been written down.
constexpr std::size_t settled_remembered = 10'000;

std::string_view thread_of(const annunciation::Notice& notice) {
    return notice.thread.empty() ? notice.id : notice.thread;
}

std::size_t index_of(Priority priority) {
    return static_cast<std::size_t>(priority);
}

/// How long it may still be tried.
Duration time_left(const annunciation::Notice& notice, Timestamp now, const BackOff& policy) {
    const Duration age = std::clamp(now - notice.at, Duration::zero(), policy.expires_after);
    return std::max(policy.expires_after - age, std::min(policy.tried_at_least, policy.expires_after));
}

/// The wait until a next try that was written down. One further away than any wait is a wrong clock's.
Duration believed(Duration left, const Waits& waits) {
    if (left > std::max(waits.longest, waits.wish_longest)) return Duration::zero();
    return std::clamp(left, Duration::zero(), waits.longest);
}

}  // namespace

bool DeliveryQueue::offer(QueuedNotice queued, Moment now) {
    if (!known_.insert(queued.notice.id).second) return false;
    const Duration left = queued.next_try - now.wall;
    const auto [place, is_new] =
        waiting_.try_emplace(offers_++, Waiting{.queued = std::move(queued), .due = {}, .expires = {}});
    Waiting& news = place->second;
    const std::string_view thread = thread_of(news.queued.notice);
    news.due = now.steady + believed(left, policy_.of(urgency_of(thread)));
    news.expires = now.steady + time_left(news.queued.notice, now.wall, policy_);
    for (auto& [order, other] : waiting_)
        if (thread_of(other.queued.notice) == thread) other.due = std::min(other.due, news.due);
    return true;
}

void DeliveryQueue::let_go(Queue::iterator settled) {
    settled_.push_back(settled->second.queued.notice.id);
    if (settled_.size() > settled_remembered) {
        known_.erase(settled_.front());
        settled_.pop_front();
    }
    waiting_.erase(settled);
}

std::map<std::string_view, DeliveryQueue::Head> DeliveryQueue::heads() const {
    std::map<std::string_view, Head> heads;
    for (auto it = waiting_.begin(); it != waiting_.end(); ++it) {
        const annunciation::Notice& notice = it->second.queued.notice;
        const auto [place, is_head] =
            heads.try_emplace(thread_of(notice), Head{.first = it, .urgency = notice.priority});
        if (!is_head) place->second.urgency = std::max(place->second.urgency, notice.priority);
    }
    return heads;
}

Priority DeliveryQueue::urgency_of(std::string_view thread) const {
    Priority urgency = Priority::low;
    for (const auto& [order, waiting] : waiting_)
        if (thread_of(waiting.queued.notice) == thread)
            urgency = std::max(urgency, waiting.queued.notice.priority);
    return urgency;
}

SteadyTime DeliveryQueue::due(const Head& head) const {
    return std::max(head.first->second.due, resting_until_.at(index_of(head.urgency)));
}

std::optional<QueuedNotice> DeliveryQueue::take(SteadyTime now) {
    if (under_way_) return std::nullopt;
    std::optional<Head> best;
    for (const auto& [thread, head] : heads()) {
        if (due(head) > now) continue;
        if (!best || head.urgency > best->urgency ||
            (head.urgency == best->urgency && head.first->first < best->first->first))
            best = head;
    }
    if (!best) return std::nullopt;
    under_way_ = best->first->first;
    return best->first->second.queued;
}

DeliveryReport DeliveryQueue::settle(const Delivery& delivery, Moment now) {
    assert(under_way_);
    const auto place = waiting_.find(*under_way_);
    under_way_.reset();
    Waiting& waiting = place->second;
    QueuedNotice& queued = waiting.queued;
    DeliveryReport report{.kind = DeliveryReport::Kind::delivered,
                          .id = queued.id,
                          .notice = queued.notice.id,
                          .messenger = queued.messenger,
                          .attempts = ++queued.attempts,
                          .at = now.wall,
                          .next_try = {},
                          .words = delivery.words};
    if (delivery.accepted) {
        let_go(place);
        for (auto& [order, other] : waiting_) other.due = std::min(other.due, now.steady);
        return report;
    }
    const Priority urgency = urgency_of(thread_of(queued.notice));
    const Duration wait = wait_for(delivery, waiting, urgency);
    if (delivery.after) rest(*delivery.after, urgency, now.steady);
    waiting.due = now.steady + wait;
    report.kind = DeliveryReport::Kind::deferred;
    report.next_try = now.wall + wait;
    if (waiting.due > waiting.expires) {
        report.kind = DeliveryReport::Kind::expired;
        let_go(place);
    }
    return report;
}

Duration DeliveryQueue::wait_for(const Delivery& delivery, const Waiting& waiting, Priority urgency) {
    const Waits& waits = policy_.of(urgency);
    const double chance = std::uniform_real_distribution<>{}(chance_);
    if (delivery.after) return std::max(std::min(*delivery.after, waits.wish_longest), waits.shortest);
    return wait_after(waiting.queued.attempts, chance, waits);
}

/// A quota that the medium ones have used up must not silence a critical one.
void DeliveryQueue::rest(Duration wish, Priority urgency, SteadyTime now) {
    for (const Priority priority : {Priority::low, Priority::medium, Priority::high, Priority::critical})
        if (priority <= urgency)
            resting_until_.at(index_of(priority)) = now + std::min(wish, policy_.of(priority).wish_longest);
}

std::optional<SteadyTime> DeliveryQueue::next_due() const {
    if (under_way_) return std::nullopt;
    std::optional<SteadyTime> first;
    for (const auto& [thread, head] : heads())
        if (!first || due(head) < *first) first = due(head);
    return first;
}

}  // namespace gyled::notify
