#pragma once
/// The order of delivery to one messenger: what goes next, and when. No thread, no clock: time is an
/// argument.

#include <array>
#include <cstdint>
#include <deque>
#include <map>
#include <optional>
#include <random>
#include <set>
#include <string>

#include "daemon/notify/back_off.hpp"
#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

/// One notice on its way through one messenger, as the outbox keeps it.
struct QueuedNotice {
    std::int64_t id = 0;  ///< the outbox's own; not looked at here
    std::string messenger;
    annunciation::Notice notice;
    unsigned attempts = 0;  ///< how often it has been tried
    Timestamp next_try{};   ///< by the wall clock of when it was written down
};

/// What became of an attempt: for the outbox to write down. The words are those of mail delivery reports (RFC
/// 3464) and mail queues.
struct DeliveryReport {
    enum class Kind : std::uint8_t {
        delivered,
        deferred,  ///< tried in vain; tried again
        expired,   ///< tried in vain for as long as the policy says; not tried again
    };
    Kind kind{};
    std::int64_t id = 0;
    std::string notice;  ///< the notice's id
    std::string messenger;
    unsigned attempts = 0;
    Timestamp at;        ///< when this was known
    Timestamp next_try;  ///< for deferred
    std::string words;   ///< the receiver's or the network's own
};

/// Within one thread (one alarm) notices go strictly in the order in which they were offered: "returned"
/// never overtakes "raised". Between threads the most urgent goes first, then the oldest. A thread is as
/// urgent as its most urgent notice, and waits by that priority. New news in a thread, and each success (the
/// receiver is back), end the waiting of others; a receiver's own wish to be left alone holds for what is no
/// more urgent than the notice it was said of.
class DeliveryQueue {
public:
    explicit DeliveryQueue(BackOff policy = {}, std::uint64_t seed = 1) : policy_{policy}, chance_{seed} {}

    /// Takes it in; false when this notice is in here already, or was settled: its report may still be on its
    /// way to the outbox. Its next try is believed as far as the longest wait, and not at all beyond: the
    /// wall clock may have been wrong when it was written down, or may be now.
    bool offer(QueuedNotice notice, Moment now);
    /// What to send now; it is under way until `settle`. One at a time.
    [[nodiscard]] std::optional<QueuedNotice> take(SteadyTime now);
    /// What the messenger answered for the notice under way.
    DeliveryReport settle(const Delivery& delivery, Moment now);
    /// When `take` will have something; nothing when it waits for an offer or for `settle`.
    [[nodiscard]] std::optional<SteadyTime> next_due() const;
    [[nodiscard]] std::size_t size() const { return waiting_.size(); }

private:
    struct Waiting {
        QueuedNotice queued;
        SteadyTime due;
        SteadyTime expires;
    };
    using Queue = std::map<std::uint64_t, Waiting>;  ///< by the order of offers
    struct Head {
        Queue::const_iterator first;
        alarms::Priority urgency;  ///< of the most urgent in its thread
    };
    [[nodiscard]] std::map<std::string_view, Head> heads() const;
    [[nodiscard]] alarms::Priority urgency_of(std::string_view thread) const;
    [[nodiscard]] SteadyTime due(const Head& head) const;
    [[nodiscard]] Duration wait_for(const Delivery& delivery, const Waiting& waiting,
                                    alarms::Priority urgency);
    void rest(Duration wish, alarms::Priority urgency, SteadyTime now);
    void let_go(Queue::iterator settled);

    BackOff policy_;
    std::mt19937_64 chance_;
    Queue waiting_;
    std::uint64_t offers_ = 0;
    std::set<std::string> known_;      ///< ids of notices in here, and of the latest that left
    std::deque<std::string> settled_;  ///< those that left, oldest first
    std::optional<std::uint64_t> under_way_;
    std::array<SteadyTime, 4> resting_until_{};  ///< by priority, at the receiver's own wish
};

}  // namespace gyled::notify
