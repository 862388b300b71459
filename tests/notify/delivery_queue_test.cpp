// The order of delivery, without threads and clocks.
#include "daemon/notify/delivery_queue.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

#include "tests/notify/notices.hpp"

namespace gyled::notify {
namespace {

using namespace std::chrono_literals;
using alarms::Priority;
using Kind = DeliveryReport::Kind;

const Delivery accepted{.accepted = true};
const Delivery in_vain{.words = "answered 500"};

/// On the steady clock: so long after the test began.
SteadyTime steady(Duration after) {
    return SteadyTime{100h + after};
}
/// Both clocks agree.
Moment moment(Duration after) {
    return {steady(after), at(after)};
}
Moment moment(SteadyTime now) {
    return moment(now - steady(0s));
}

QueuedNotice queued(std::int64_t id, std::string thread, Priority priority = Priority::medium) {
    QueuedNotice out{.id = id, .messenger = "phone", .notice = warm_north(), .next_try = at(0s)};
    out.notice.id = "notice " + std::to_string(id);
    out.notice.thread = std::move(thread);
    out.notice.priority = priority;
    return out;
}

/// Takes and settles; the id that went, or 0.
std::int64_t send_one(DeliveryQueue& queue, Moment now, const Delivery& delivery = accepted) {
    const auto taken = queue.take(now.steady);
    if (!taken) return 0;
    EXPECT_EQ(queue.settle(delivery, now).id, taken->id);
    return taken->id;
}

/// Goes on in vain until so long after the test began; the longest wait between two attempts.
Duration longest_wait(DeliveryQueue& queue, Duration until, const Delivery& delivery = in_vain) {
    Duration longest{};
    SteadyTime last = queue.next_due().value();
    while (last < steady(until)) {
        EXPECT_NE(send_one(queue, moment(last), delivery), 0);
        const SteadyTime next = queue.next_due().value();
        longest = std::max(longest, next - last);
        last = next;
    }
    return longest;
}

TEST(BackOff, GrowsFromTheShortestToTheLongestAndStaysThere) {
    const Waits waits{.shortest = 30s, .longest = 30min, .wish_longest = 1h};
    EXPECT_EQ(wait_after(1, 0, waits), 30s);
    EXPECT_EQ(wait_after(1, 1, waits), 60s);
    EXPECT_EQ(wait_after(2, 0, waits), 60s);
    EXPECT_EQ(wait_after(2, 1, waits), 120s);
    EXPECT_EQ(wait_after(3, 0.5, waits), 180s);
    EXPECT_EQ(wait_after(6, 0, waits), 15min);
    EXPECT_EQ(wait_after(6, 1, waits), 30min);
    for (const unsigned attempts : {0U, 1U, 7U, 100U, std::numeric_limits<unsigned>::max()})
        for (const double chance : {-1.0, 0.0, 0.3, 1.0, 7.0}) {
            EXPECT_GE(wait_after(attempts, chance, waits), 30s) << attempts;
            EXPECT_LE(wait_after(attempts, chance, waits), 30min) << attempts;
        }
}

TEST(BackOff, IsShortForWhatMayHurtSomebody) {
    for (const auto& [priority, longest] :
         {std::pair{Priority::critical, Duration{60s}}, std::pair{Priority::high, Duration{3min}},
          std::pair{Priority::medium, Duration{5min}}, std::pair{Priority::low, Duration{5min}}}) {
        DeliveryQueue queue;
        ASSERT_TRUE(queue.offer(queued(1, "a", priority), moment(0s)));
        EXPECT_LE(longest_wait(queue, 6h), longest) << name(priority);
    }
}

TEST(DeliveryQueue, ReturnedNeverOvertakesRaised) {
    DeliveryQueue queue;
    ASSERT_TRUE(queue.offer(queued(1, "north/warm"), moment(0s)));
    EXPECT_EQ(send_one(queue, moment(0s), in_vain), 1);
    ASSERT_TRUE(queue.offer(queued(2, "north/warm"), moment(0s)));

    EXPECT_EQ(send_one(queue, moment(31min)), 1);
    EXPECT_EQ(send_one(queue, moment(31min)), 2);
    EXPECT_EQ(queue.size(), 0U);
}

TEST(DeliveryQueue, AfterARestartTheOrderHoldsWhateverTheNextTries) {
    DeliveryQueue queue;
    QueuedNotice raised = queued(1, "north/warm");
    raised.attempts = 5;
    raised.next_try = at(4min);
    queue.offer(raised, moment(0s));
    QueuedNotice returned = queued(2, "north/warm");
    returned.next_try = at(2min);
    queue.offer(returned, moment(0s));

    EXPECT_EQ(send_one(queue, moment(119s)), 0);
    EXPECT_EQ(send_one(queue, moment(2min)), 1);
    EXPECT_EQ(send_one(queue, moment(2min)), 2);
}

TEST(DeliveryQueue, TheMostUrgentGoesFirstThenTheOldest) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::low), moment(0s));
    queue.offer(queued(2, "b", Priority::medium), moment(0s));
    queue.offer(queued(3, "c", Priority::critical), moment(0s));
    queue.offer(queued(4, "d", Priority::medium), moment(0s));
    queue.offer(queued(5, "a", Priority::critical), moment(0s));

    std::vector<std::int64_t> order;
    for (int n = 0; n < 5; ++n) order.push_back(send_one(queue, moment(0s)));
    EXPECT_THAT(order, testing::ElementsAre(1, 3, 5, 2, 4))
        << "what stands before an urgent one goes with it";
}

TEST(DeliveryQueue, WhatTheStoreNeverSawKeepsItsOrderToo) {
    DeliveryQueue queue;
    for (int n = 1; n <= 3; ++n) {
        QueuedNotice unstored = queued(n, "north/warm");
        unstored.id = -1;
        ASSERT_TRUE(queue.offer(unstored, moment(0s)));
    }
    for (int n = 1; n <= 3; ++n) {
        EXPECT_EQ(queue.take(steady(0s)).value().notice.id, "notice " + std::to_string(n));
        (void)queue.settle(accepted, moment(0s));
    }
}

TEST(DeliveryQueue, OneAtATime) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a"), moment(0s));
    queue.offer(queued(2, "b"), moment(0s));

    ASSERT_TRUE(queue.take(steady(0s)));
    EXPECT_FALSE(queue.take(steady(0s)));
    EXPECT_FALSE(queue.next_due());
    (void)queue.settle(accepted, moment(0s));
    EXPECT_EQ(queue.next_due(), steady(0s));
}

TEST(DeliveryQueue, TheSameNoticeIsNotTakenTwice) {
    DeliveryQueue queue;
    EXPECT_TRUE(queue.offer(queued(1, "a"), moment(0s)));
    EXPECT_FALSE(queue.offer(queued(1, "a"), moment(0s)));
    ASSERT_TRUE(queue.take(steady(0s)));
    EXPECT_FALSE(queue.offer(queued(1, "a"), moment(0s))) << "nor while it is under way";
    EXPECT_EQ(queue.settle(accepted, moment(0s)).kind, Kind::delivered);
    EXPECT_FALSE(queue.offer(queued(1, "a"), moment(0s)))
        << "its report may still be on the way to the outbox";
    EXPECT_EQ(send_one(queue, moment(24h)), 0);
}

TEST(DeliveryQueue, ANumberThatComesAgainWithAnotherNoticeIsAnother) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a"), moment(0s));
    EXPECT_EQ(send_one(queue, moment(0s)), 1);
    QueuedNotice other = queued(1, "a");
    other.notice.id = "another notice";

    EXPECT_TRUE(queue.offer(other, moment(0s)));
    EXPECT_EQ(send_one(queue, moment(0s)), 1);
}

TEST(DeliveryQueue, RemembersLongEnoughButNotForEver) {
    DeliveryQueue queue;
    for (int id = 1; id <= 10'001; ++id) {
        ASSERT_TRUE(queue.offer(queued(id, "a"), moment(0s)));
        ASSERT_EQ(send_one(queue, moment(0s)), id);
    }
    EXPECT_FALSE(queue.offer(queued(2, "a"), moment(0s)));
    EXPECT_TRUE(queue.offer(queued(1, "a"), moment(0s)));
}

TEST(DeliveryQueue, TriesAgainLaterAndReportsEachAttempt) {
    DeliveryQueue queue;
    queue.offer(queued(7, "a"), moment(0s));
    ASSERT_TRUE(queue.take(steady(0s)));

    const DeliveryReport report = queue.settle(in_vain, moment(0s));

    EXPECT_EQ(report.kind, Kind::deferred);
    EXPECT_EQ(report.id, 7);
    EXPECT_EQ(report.notice, "notice 7");
    EXPECT_EQ(report.messenger, "phone");
    EXPECT_EQ(report.attempts, 1U);
    EXPECT_EQ(report.words, "answered 500");
    EXPECT_GE(report.next_try, at(30s));
    EXPECT_LE(report.next_try, at(60s));
    const SteadyTime due = queue.next_due().value();
    EXPECT_EQ(due - steady(0s), report.next_try - at(0s));
    EXPECT_FALSE(queue.take(due - 1ms));
    EXPECT_TRUE(queue.take(due));
}

TEST(DeliveryQueue, ExpiresAfterADay) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a"), moment(0s));
    SteadyTime now = steady(0s);
    for (;; now = queue.next_due().value()) {
        ASSERT_TRUE(queue.take(now));
        if (queue.settle(in_vain, moment(now)).kind == Kind::expired) break;
    }
    EXPECT_GT(now, steady(23h));
    EXPECT_LE(now, steady(24h));
    EXPECT_EQ(queue.size(), 0U);
}

TEST(DeliveryQueue, WhatLooksOldIsTriedForAnHour) {
    // found in the outbox after a week's absence; or made before a clock that had stood in 1970 was set
    for (const Duration age : {Duration{24h * 7}, Duration{24h * 365 * 56}}) {
        DeliveryQueue queue;
        QueuedNotice old = queued(2, "a");
        old.notice.at = at(-age);
        queue.offer(old, moment(0s));
        int attempts = 0;
        SteadyTime now = steady(0s);
        while (queue.size() > 0) {
            now = queue.next_due().value();
            send_one(queue, moment(now), in_vain);
            ++attempts;
        }
        EXPECT_GT(now, steady(50min));
        EXPECT_GT(attempts, 10);
    }
}

TEST(DeliveryQueue, AMediumOnesRetryAfterDoesNotHoldBackACriticalOne) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::medium), moment(0s));
    ASSERT_TRUE(queue.take(steady(0s)));
    const DeliveryReport report = queue.settle({.after = 3600s, .words = "answered 429"}, moment(0s));
    queue.offer(queued(2, "b", Priority::critical), moment(0s));
    queue.offer(queued(3, "c", Priority::high), moment(0s));
    queue.offer(queued(4, "d", Priority::low), moment(0s));

    EXPECT_EQ(report.next_try, at(1h));
    EXPECT_EQ(send_one(queue, moment(1s), in_vain), 2);
    EXPECT_EQ(send_one(queue, moment(1s), in_vain), 3);
    EXPECT_EQ(send_one(queue, moment(1s)), 0) << "low news rests as the medium one does";
}

TEST(DeliveryQueue, ARetryAfterHoldsForWhatIsNoMoreUrgent) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::high), moment(0s));
    ASSERT_TRUE(queue.take(steady(0s)));
    (void)queue.settle({.after = 5min}, moment(0s));
    queue.offer(queued(2, "b", Priority::medium), moment(0s));

    EXPECT_FALSE(queue.take(steady(299s)));
    EXPECT_EQ(queue.next_due(), steady(5min));
    EXPECT_EQ(send_one(queue, moment(5min)), 1);
    EXPECT_EQ(send_one(queue, moment(5min)), 2);
}

TEST(DeliveryQueue, NobodySendsACriticalOneToSleep) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::critical), moment(0s));

    EXPECT_LE(longest_wait(queue, 3h, {.after = 86'400s, .words = "answered 503"}), 60s);
}

TEST(DeliveryQueue, ARetryAfterOfADayHoldsAnHourAndGivesNothingUp) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::low), moment(0s));
    ASSERT_TRUE(queue.take(steady(0s)));

    EXPECT_EQ(queue.settle({.after = 24h}, moment(0s)).kind, Kind::deferred);
    EXPECT_EQ(queue.next_due(), steady(1h));
}

TEST(DeliveryQueue, AThreadWaitsAsShortlyAsItsMostUrgentNotice) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::medium), moment(0s));
    longest_wait(queue, 6h);
    QueuedNotice critical = queued(2, "a", Priority::critical);
    critical.next_try = at(6h);
    queue.offer(critical, moment(6h));

    EXPECT_EQ(send_one(queue, moment(6h), in_vain), 1) << "new news does not wait for the old";
    EXPECT_LE(queue.next_due().value(), steady(6h + 60s)) << "the critical one waits behind it";
}

TEST(DeliveryQueue, ANextTryWrittenByAClockADayAheadIsBroughtBack) {
    for (const auto& [priority, longest] :
         {std::pair{Priority::critical, Duration{60s}}, std::pair{Priority::medium, Duration{5min}}}) {
        DeliveryQueue queue;
        QueuedNotice far = queued(1, "a", priority);
        far.next_try = at(24h + 60s);
        far.attempts = 4;
        queue.offer(far, moment(0s));

        EXPECT_LE(queue.next_due().value(), steady(longest));
    }
}

TEST(DeliveryQueue, ANextTryWrittenByAClockAnHourBehindIsDue) {
    DeliveryQueue queue;
    QueuedNotice past = queued(1, "a");
    past.next_try = at(-1h);
    queue.offer(past, moment(0s));

    EXPECT_EQ(queue.next_due(), steady(0s));
}

TEST(DeliveryQueue, AWallClockThatJumpsMovesNoWaitAndNoExpiry) {
    DeliveryQueue queue;
    queue.offer(queued(1, "a", Priority::critical), moment(0s));
    ASSERT_EQ(send_one(queue, {steady(0s), at(24h * 365)}, in_vain), 1) << "a year ahead";

    const SteadyTime due = queue.next_due().value();
    EXPECT_LE(due, steady(60s));
    ASSERT_EQ(send_one(queue, {due, at(-24h)}, in_vain), 1) << "a day back";
    EXPECT_LE(queue.next_due().value(), due + 60s);
    EXPECT_EQ(queue.size(), 1U) << "not expired";
}

TEST(DeliveryQueue, WhenTheReceiverIsBackEverythingGoes) {
    DeliveryQueue queue;
    for (int id = 1; id <= 10; ++id) queue.offer(queued(id, std::to_string(id)), moment(0s));
    for (int id = 1; id <= 10; ++id) send_one(queue, moment(0s), in_vain);

    const SteadyTime first = queue.next_due().value();
    for (int n = 0; n < 10; ++n) EXPECT_NE(send_one(queue, moment(first)), 0);
    EXPECT_EQ(queue.size(), 0U);
}

TEST(DeliveryQueue, TheJitterFollowsItsSeed) {
    const auto first_wait = [](std::uint64_t seed) {
        DeliveryQueue queue{{}, seed};
        queue.offer(queued(1, "a"), moment(0s));
        (void)queue.take(steady(0s));
        return queue.settle(in_vain, moment(0s)).next_try;
    };
    EXPECT_EQ(first_wait(42), first_wait(42));
    EXPECT_NE(first_wait(42), first_wait(43));
}

TEST(DeliveryQueue, WithNothingInItHasNothingToSay) {
    DeliveryQueue queue;
    EXPECT_FALSE(queue.take(SteadyTime::max()));
    EXPECT_FALSE(queue.next_due());
    EXPECT_EQ(queue.size(), 0U);
}

}  // namespace
}  // namespace gyled::notify
