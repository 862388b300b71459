// The order of delivery, without threads and clocks.
#include "daemon/notify/post_bag.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

#include "tests/notify/notices.hpp"

namespace gyled::notify {
namespace {

using namespace std::chrono_literals;
using Outcome = Delivery::Outcome;
using Kind = DeliveryReport::Kind;

const Delivery accepted{.outcome = Outcome::accepted};
const Delivery try_again{.outcome = Outcome::try_again, .words = "HTTP 500"};
const Delivery refused{.outcome = Outcome::refused, .words = "HTTP 401"};

Parcel parcel(std::int64_t id, std::string thread, alarms::Priority priority = alarms::Priority::high) {
    Parcel out{.id = id, .messenger = "phone", .notice = warm_north(), .next_try = at(0s)};
    out.notice.id = "notice " + std::to_string(id);
    out.notice.thread = std::move(thread);
    out.notice.priority = priority;
    return out;
}

/// Takes and settles; the id that went, or 0.
std::int64_t send_one(PostBag& bag, Timestamp now, const Delivery& delivery = accepted) {
    const auto taken = bag.take(now);
    if (!taken) return 0;
    EXPECT_EQ(bag.settle(delivery, now).id, taken->id);
    return taken->id;
}

TEST(BackOff, GrowsFromHalfAMinuteToHalfAnHourAndStaysThere) {
    const BackOff policy;
    EXPECT_EQ(wait_after(1, 0, policy), 30s);
    EXPECT_EQ(wait_after(1, 1, policy), 60s);
    EXPECT_EQ(wait_after(2, 0, policy), 60s);
    EXPECT_EQ(wait_after(2, 1, policy), 120s);
    EXPECT_EQ(wait_after(3, 0.5, policy), 180s);
    EXPECT_EQ(wait_after(6, 0, policy), 15min);
    EXPECT_EQ(wait_after(6, 1, policy), 30min);
    for (const unsigned attempts : {0U, 1U, 7U, 100U, std::numeric_limits<unsigned>::max()})
        for (const double chance : {-1.0, 0.0, 0.3, 1.0, 7.0}) {
            EXPECT_GE(wait_after(attempts, chance, policy), 30s) << attempts;
            EXPECT_LE(wait_after(attempts, chance, policy), 30min) << attempts;
        }
}

TEST(PostBag, OverNeverOvertakesRaised) {
    PostBag bag;
    ASSERT_TRUE(bag.offer(parcel(1, "north/warm")));
    EXPECT_EQ(send_one(bag, at(0s), try_again), 1);
    ASSERT_TRUE(bag.offer(parcel(2, "north/warm")));

    EXPECT_EQ(send_one(bag, at(31min)), 1);
    EXPECT_EQ(send_one(bag, at(31min)), 2);
    EXPECT_EQ(bag.size(), 0U);
}

TEST(PostBag, AfterARestartTheOrderHoldsWhateverTheNextTries) {
    PostBag bag;
    Parcel raised = parcel(1, "north/warm");
    raised.attempts = 5;
    raised.next_try = at(20min);
    bag.offer(parcel(2, "north/warm"));
    bag.offer(raised);

    EXPECT_EQ(send_one(bag, at(0s)), 0);
    EXPECT_EQ(send_one(bag, at(20min)), 1);
    EXPECT_EQ(send_one(bag, at(20min)), 2);
}

TEST(PostBag, TheMostUrgentGoesFirstThenTheOldest) {
    PostBag bag;
    bag.offer(parcel(1, "a", alarms::Priority::low));
    bag.offer(parcel(2, "b", alarms::Priority::medium));
    bag.offer(parcel(3, "c", alarms::Priority::critical));
    bag.offer(parcel(4, "d", alarms::Priority::medium));
    bag.offer(parcel(5, "a", alarms::Priority::critical));

    std::vector<std::int64_t> order;
    for (int n = 0; n < 5; ++n) order.push_back(send_one(bag, at(0s)));
    EXPECT_THAT(order, testing::ElementsAre(1, 3, 5, 2, 4))
        << "what stands before an urgent one goes with it";
}

TEST(PostBag, OneAtATime) {
    PostBag bag;
    bag.offer(parcel(1, "a"));
    bag.offer(parcel(2, "b"));

    ASSERT_TRUE(bag.take(at(0s)));
    EXPECT_FALSE(bag.take(at(0s)));
    EXPECT_FALSE(bag.next_due());
    (void)bag.settle(accepted, at(0s));
    EXPECT_EQ(bag.next_due(), at(0s));
}

TEST(PostBag, TheSameParcelIsNotTakenTwice) {
    PostBag bag;
    EXPECT_TRUE(bag.offer(parcel(1, "a")));
    EXPECT_FALSE(bag.offer(parcel(1, "a")));
    ASSERT_TRUE(bag.take(at(0s)));
    EXPECT_FALSE(bag.offer(parcel(1, "a"))) << "nor while it is under way";
    EXPECT_EQ(bag.settle(accepted, at(0s)).kind, Kind::delivered);
    EXPECT_FALSE(bag.offer(parcel(1, "a"))) << "its report may still be on the way to the outbox";
    EXPECT_EQ(send_one(bag, at(24h)), 0);
}

TEST(PostBag, WhatWasGivenUpIsNotTakenAgainEither) {
    PostBag bag;
    bag.offer(parcel(1, "a"));
    EXPECT_EQ(send_one(bag, at(0s), refused), 1);

    EXPECT_FALSE(bag.offer(parcel(1, "a")));
}

TEST(PostBag, ANumberThatComesAgainWithAnotherNoticeIsAnotherParcel) {
    PostBag bag;
    bag.offer(parcel(1, "a"));
    EXPECT_EQ(send_one(bag, at(0s)), 1);
    Parcel other = parcel(1, "a");
    other.notice.id = "another notice";

    EXPECT_TRUE(bag.offer(other));
    EXPECT_EQ(send_one(bag, at(0s)), 1);
}

TEST(PostBag, RemembersLongEnoughButNotForEver) {
    PostBag bag;
    for (int id = 1; id <= 10'001; ++id) {
        ASSERT_TRUE(bag.offer(parcel(id, "a")));
        ASSERT_EQ(send_one(bag, at(0s)), id);
    }
    EXPECT_FALSE(bag.offer(parcel(2, "a")));
    EXPECT_TRUE(bag.offer(parcel(1, "a")));
}

TEST(PostBag, TriesAgainLaterAndReportsEachTry) {
    PostBag bag;
    bag.offer(parcel(7, "a"));
    ASSERT_TRUE(bag.take(at(0s)));

    const DeliveryReport report = bag.settle(try_again, at(0s));

    EXPECT_EQ(report.kind, Kind::retry);
    EXPECT_EQ(report.id, 7);
    EXPECT_EQ(report.messenger, "phone");
    EXPECT_EQ(report.attempts, 1U);
    EXPECT_EQ(report.words, "HTTP 500");
    EXPECT_GE(report.next_try, at(30s));
    EXPECT_LE(report.next_try, at(60s));
    EXPECT_EQ(bag.next_due(), report.next_try);
    EXPECT_FALSE(bag.take(report.next_try - 1ms));
    EXPECT_TRUE(bag.take(report.next_try));
}

TEST(PostBag, GivesUpAfterADayButNeverUntried) {
    PostBag bag;
    bag.offer(parcel(1, "a"));
    Timestamp now = at(0s);
    int tries = 0;
    for (;; now = bag.next_due().value()) {
        ASSERT_TRUE(bag.take(now));
        ++tries;
        const DeliveryReport report = bag.settle(try_again, now);
        if (report.kind == Kind::gave_up) break;
    }
    EXPECT_GT(now, at(23h));
    EXPECT_LE(now, at(24h));
    EXPECT_GE(tries, 48);
    EXPECT_LE(tries, 110);
    EXPECT_EQ(bag.size(), 0U);

    bag.offer(parcel(2, "a"));  // found in the outbox after a long absence
    EXPECT_EQ(send_one(bag, at(24h * 7)), 2);
}

TEST(PostBag, WhatIsRefusedIsGivenUpAndDoesNotHoldUpTheRest) {
    PostBag bag;
    bag.offer(parcel(1, "a"));
    bag.offer(parcel(2, "a"));
    ASSERT_TRUE(bag.take(at(0s)));

    EXPECT_EQ(bag.settle(refused, at(0s)).kind, Kind::gave_up);
    EXPECT_EQ(send_one(bag, at(0s)), 2);
}

TEST(PostBag, AReceiversWishToBeLeftAloneHoldsForAll) {
    PostBag bag;
    bag.offer(parcel(1, "a"));
    ASSERT_TRUE(bag.take(at(0s)));
    const DeliveryReport report = bag.settle({.outcome = Outcome::try_again, .after = 5min}, at(0s));
    bag.offer(parcel(2, "b", alarms::Priority::critical));

    EXPECT_EQ(report.next_try, at(5min));
    EXPECT_FALSE(bag.take(at(299s)));
    EXPECT_EQ(bag.next_due(), at(5min));
    EXPECT_EQ(send_one(bag, at(5min)), 2);
}

TEST(PostBag, NewNewsOfAnAlarmDoesNotWaitForTheOld) {
    PostBag bag;
    bag.offer(parcel(1, "a", alarms::Priority::medium));
    for (auto now = at(0s); now < at(6h); now = bag.next_due().value()) send_one(bag, now, try_again);
    Parcel critical = parcel(2, "a", alarms::Priority::critical);
    critical.next_try = at(6h);
    bag.offer(critical);

    EXPECT_EQ(send_one(bag, at(6h)), 1);
    EXPECT_EQ(send_one(bag, at(6h)), 2);
}

TEST(PostBag, WhenTheReceiverIsBackEverythingGoes) {
    PostBag bag;
    for (int id = 1; id <= 10; ++id) bag.offer(parcel(id, std::to_string(id)));
    for (int id = 1; id <= 10; ++id) send_one(bag, at(0s), try_again);

    const Timestamp first = bag.next_due().value();
    for (int n = 0; n < 10; ++n) EXPECT_NE(send_one(bag, first), 0);
    EXPECT_EQ(bag.size(), 0U);
}

TEST(PostBag, TheJitterFollowsItsSeed) {
    const auto first_wait = [](std::uint64_t seed) {
        PostBag bag{{}, seed};
        bag.offer(parcel(1, "a"));
        (void)bag.take(at(0s));
        return bag.settle(try_again, at(0s)).next_try;
    };
    EXPECT_EQ(first_wait(42), first_wait(42));
    EXPECT_NE(first_wait(42), first_wait(43));
}

TEST(PostBag, AnEmptyBagHasNothingToSay) {
    PostBag bag;
    EXPECT_FALSE(bag.take(Timestamp::max()));
    EXPECT_FALSE(bag.next_due());
    EXPECT_EQ(bag.size(), 0U);
}

}  // namespace
}  // namespace gyled::notify
