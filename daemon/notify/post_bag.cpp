#include "daemon/notify/post_bag.hpp"

#include <algorithm>
#include <cassert>

namespace gyled::notify {
namespace {

std::string_view thread_of(const Parcel& parcel) {
    return parcel.notice.thread.empty() ? parcel.notice.id : parcel.notice.thread;
}

}  // namespace

bool PostBag::offer(Parcel parcel) {
    const auto left = settled_.find(parcel.id);
    if (left != settled_.end() && left->second == parcel.notice.id) return false;
    const auto [place, is_new] = parcels_.try_emplace(parcel.id, std::move(parcel));
    if (!is_new) return false;
    const Parcel& news = place->second;
    for (auto& [id, other] : parcels_)
        if (thread_of(other) == thread_of(news)) other.next_try = std::min(other.next_try, news.next_try);
    return true;
}

void PostBag::let_go(std::map<std::int64_t, Parcel>::iterator parcel) {
    constexpr std::size_t remembered = 10'000;
    settled_.insert_or_assign(parcel->first, parcel->second.notice.id);
    if (settled_.size() > remembered) settled_.erase(settled_.begin());
    parcels_.erase(parcel);
}

std::map<std::string_view, PostBag::Head> PostBag::heads() const {
    std::map<std::string_view, Head> heads;
    for (const auto& [id, parcel] : parcels_) {
        const auto [place, is_head] =
            heads.try_emplace(thread_of(parcel), Head{.parcel = &parcel, .urgency = parcel.notice.priority});
        if (!is_head) place->second.urgency = std::max(place->second.urgency, parcel.notice.priority);
    }
    return heads;
}

std::optional<Parcel> PostBag::take(Timestamp now) {
    if (under_way_ || now < resting_until_) return std::nullopt;
    std::optional<Head> best;
    for (const auto& [thread, head] : heads()) {
        if (head.parcel->next_try > now) continue;
        if (!best || head.urgency > best->urgency ||
            (head.urgency == best->urgency && head.parcel->id < best->parcel->id))
            best = head;
    }
    if (!best) return std::nullopt;
    under_way_ = best->parcel->id;
    return *best->parcel;
}

DeliveryReport PostBag::settle(const Delivery& delivery, Timestamp now) {
    assert(under_way_);
    const auto place = parcels_.find(*under_way_);
    under_way_.reset();
    Parcel& parcel = place->second;
    ++parcel.attempts;
    DeliveryReport report{.kind = DeliveryReport::Kind::retry,
                          .id = parcel.id,
                          .messenger = parcel.messenger,
                          .attempts = parcel.attempts,
                          .at = now,
                          .next_try = {},
                          .words = delivery.words};
    if (delivery.outcome == Delivery::Outcome::accepted) {
        report.kind = DeliveryReport::Kind::delivered;
        let_go(place);
        for (auto& [id, other] : parcels_) other.next_try = std::min(other.next_try, now);
        return report;
    }
    if (delivery.after) resting_until_ = now + *delivery.after;
    const double chance = std::uniform_real_distribution<>{}(chance_);
    parcel.next_try = now + delivery.after.value_or(wait_after(parcel.attempts, chance, policy_));
    report.next_try = parcel.next_try;
    if (delivery.outcome == Delivery::Outcome::refused ||
        parcel.next_try - parcel.notice.at > policy_.give_up_after) {
        report.kind = DeliveryReport::Kind::gave_up;
        let_go(place);
    }
    return report;
}

std::optional<Timestamp> PostBag::next_due() const {
    if (under_way_) return std::nullopt;
    std::optional<Timestamp> first;
    for (const auto& [thread, head] : heads())
        if (!first || head.parcel->next_try < *first) first = head.parcel->next_try;
    if (first) first = std::max(*first, resting_until_);
    return first;
}

}  // namespace gyled::notify
