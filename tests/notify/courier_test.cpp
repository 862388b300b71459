// Threads and all: whatever the receivers do, every notice arrives, in order, and none twice where it was
// accepted.
#include "daemon/notify/courier.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <condition_variable>
#include <mutex>
#include <set>

#include "daemon/notify/push.hpp"
#include "tests/notify/notices.hpp"
#include "tests/notify/receiver.hpp"

namespace gyled::notify {
namespace {

using namespace std::chrono_literals;
using Kind = DeliveryReport::Kind;

/// Remembers what it heard, and can be out of reach.
class FakePhone final : public Messenger {
public:
    struct Knobs {
        std::mutex mutex;
        std::vector<std::string> heard;
        int fails = 0;  ///< so many times first
    };
    explicit FakePhone(std::shared_ptr<Knobs> knobs) : knobs_{std::move(knobs)} {}
    Delivery send(const annunciation::Notice& notice) override {
        const std::scoped_lock lock{knobs_->mutex};
        if (knobs_->fails > 0) {
            --knobs_->fails;
            return {.words = "out of reach"};
        }
        knobs_->heard.push_back(notice.id);
        return {.accepted = true};
    }

private:
    std::shared_ptr<Knobs> knobs_;
};

/// Where reports go; a test waits for as many as it expects.
class Desk {
public:
    Courier::OnReport writes() {
        return [this](const DeliveryReport& report) {
            const std::scoped_lock lock{mutex_};
            reports_.push_back(report);
            changed_.notify_all();
        };
    }
    std::vector<DeliveryReport> wait_for(std::size_t settled) {
        std::unique_lock lock{mutex_};
        changed_.wait_for(lock, 20s, [&] {
            return static_cast<std::size_t>(
                       std::count_if(reports_.begin(), reports_.end(), [](const DeliveryReport& report) {
                           return report.kind != Kind::deferred;
                       })) >= settled;
        });
        return reports_;
    }
    std::size_t count() {
        const std::scoped_lock lock{mutex_};
        return reports_.size();
    }

private:
    std::mutex mutex_;
    std::condition_variable changed_;
    std::vector<DeliveryReport> reports_;
};

Courier::Options quick() {
    const Waits waits{.shortest = 1ms, .longest = 4ms, .wish_longest = 4ms};
    return {.back_off = {.critical = waits, .high = waits, .other = waits}, .now = {}};
}
QueuedNotice queued(std::int64_t id, const annunciation::Notice& notice,
                    const std::string& messenger = "phone") {
    QueuedNotice out{.id = id, .messenger = messenger, .notice = notice};
    out.notice.at = std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now());
    return out;
}
Courier::Messengers only(std::unique_ptr<Messenger> messenger) {
    Courier::Messengers all;
    all.emplace("phone", std::move(messenger));
    return all;
}

TEST(Courier, CarriesInOrderThroughTrouble) {
    Desk desk;
    auto knobs = std::make_shared<FakePhone::Knobs>();
    knobs->fails = 5;
    Courier courier{only(std::make_unique<FakePhone>(knobs)), desk.writes(), quick()};

    EXPECT_TRUE(courier.offer(queued(1, warm_north())));
    EXPECT_TRUE(courier.offer(queued(2, over_north())));
    const auto reports = desk.wait_for(2);

    EXPECT_THAT(knobs->heard, testing::ElementsAre(warm_north().id, over_north().id));
    ASSERT_EQ(reports.size(), 7U);
    for (unsigned n = 0; n < 5; ++n) {
        EXPECT_EQ(reports[n].kind, Kind::deferred);
        EXPECT_EQ(reports[n].id, 1);
        EXPECT_EQ(reports[n].attempts, n + 1);
    }
    EXPECT_EQ(reports[6].kind, Kind::delivered);
    EXPECT_EQ(courier.pending(), 0U);
}

TEST(Courier, ARealReceiverInTroubleHearsEverythingOnceAccepted) {
    Receiver relay;
    relay.will({{.manner = Answer::Manner::drop_at_once},
                {.status = 500},
                {.manner = Answer::Manner::hang},
                {.status = 429},
                {.manner = Answer::Manner::nonsense}});
    Desk desk;
    Courier courier{only(std::make_unique<PushMessenger>(PushSettings{
                        .url = relay.url(), .topic = "t", .token = "", .click_url = "", .timeout = 300ms})),
                    desk.writes(), quick()};

    for (int id = 1; id <= 6; ++id) {
        annunciation::Notice notice = warm_north();
        notice.thread += std::to_string(id);
        notice.id += std::to_string(id);
        courier.offer(queued(id, notice));
    }
    const auto reports = desk.wait_for(6);

    std::multiset<std::int64_t> delivered;
    for (const DeliveryReport& report : reports)
        if (report.kind == Kind::delivered) delivered.insert(report.id);
    EXPECT_THAT(delivered, testing::ElementsAre(1, 2, 3, 4, 5, 6)) << "each exactly once";
    EXPECT_EQ(relay.heard().size(), 6U + 4U) << "six accepted; four heard, but not accepted";
}

TEST(Courier, OneReceiverOutOfReachDelaysNoOther) {
    Receiver dead;
    dead.will({{.manner = Answer::Manner::hang}});
    Desk desk;
    auto knobs = std::make_shared<FakePhone::Knobs>();
    Courier::Messengers messengers = only(std::make_unique<FakePhone>(knobs));
    messengers.emplace("dead",
                       std::make_unique<PushMessenger>(PushSettings{
                           .url = dead.url(), .topic = "t", .token = "", .click_url = "", .timeout = 60s}));
    Courier courier{std::move(messengers), desk.writes(), quick()};

    courier.offer(queued(1, warm_north(), "dead"));
    courier.offer(queued(2, warm_north(), "phone"));
    const auto reports = desk.wait_for(1);

    ASSERT_EQ(reports.size(), 1U);
    EXPECT_EQ(reports[0].id, 2);
    courier.stop(0s);
    EXPECT_EQ(desk.count(), 1U) << "hung up on: the outbox keeps it as it was";
    EXPECT_EQ(courier.pending(), 1U);
}

TEST(Courier, AMessengerThatDoesNotExistIsToldInWords) {
    Desk desk;
    Courier courier{{}, desk.writes()};

    EXPECT_FALSE(courier.offer(queued(1, warm_north(), "pigeon")));
    const auto reports = desk.wait_for(1);

    ASSERT_EQ(reports.size(), 1U);
    EXPECT_EQ(reports[0].kind, Kind::expired);
    EXPECT_EQ(reports[0].words, "there is no messenger 'pigeon'");
}

TEST(Courier, OffersAreTakenOnce) {
    Desk desk;
    auto knobs = std::make_shared<FakePhone::Knobs>();
    knobs->fails = 1'000'000;
    Courier courier{only(std::make_unique<FakePhone>(knobs)), desk.writes(), quick()};

    EXPECT_TRUE(courier.offer(queued(1, warm_north())));
    EXPECT_FALSE(courier.offer(queued(1, warm_north())));
    EXPECT_EQ(courier.pending(), 1U);
}

TEST(Courier, StoppingDeliversWhatIsDueThenTakesNothingMore) {
    Desk desk;
    auto knobs = std::make_shared<FakePhone::Knobs>();
    Courier courier{only(std::make_unique<FakePhone>(knobs)), desk.writes(), {}};
    for (int id = 1; id <= 100; ++id) {
        annunciation::Notice notice = warm_north();
        notice.id += std::to_string(id);
        courier.offer(queued(id, notice));
    }

    courier.stop(20s);

    EXPECT_EQ(knobs->heard.size(), 100U);
    EXPECT_FALSE(courier.offer(queued(101, warm_north())));
    EXPECT_EQ(desk.count(), 100U);
    courier.stop(0s);
}

TEST(Courier, StoppingDoesNotWaitForWhatIsNotDue) {
    Desk desk;
    auto knobs = std::make_shared<FakePhone::Knobs>();
    Courier courier{only(std::make_unique<FakePhone>(knobs)), desk.writes(), {}};
    QueuedNotice later = queued(1, warm_north());
    later.next_try = later.notice.at + 2min;
    courier.offer(later);

    const auto begin = std::chrono::steady_clock::now();
    courier.stop(60s);

    EXPECT_LT(std::chrono::steady_clock::now() - begin, 20s);
    EXPECT_TRUE(knobs->heard.empty());
}

}  // namespace
}  // namespace gyled::notify
