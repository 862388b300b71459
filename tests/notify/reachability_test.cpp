// Which messengers do not get through, and who carries their notices meanwhile.
#include "daemon/notify/reachability.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/notify/fallback.hpp"
#include "tests/notify/notices.hpp"

namespace gyled::notify {
namespace {

using namespace std::chrono_literals;
using alarms::Priority;
using Kind = DeliveryReport::Kind;
using testing::ElementsAre;
using testing::IsEmpty;

SteadyTime steady(Duration after) {
    return SteadyTime{100h + after};
}

annunciation::Notice notice_of(Priority priority) {
    annunciation::Notice notice = warm_north();
    notice.priority = priority;
    return notice;
}

DeliveryReport report(Kind kind, unsigned attempts, const std::string& messenger = "phone",
                      Duration after = 0s) {
    return {.kind = kind,
            .id = 1,
            .notice = warm_north().id,
            .messenger = messenger,
            .attempts = attempts,
            .at = at(after),
            .next_try = {},
            .words = kind == Kind::delivered ? "answered 200" : "answered 404"};
}

TEST(Reachability, IsFailingAfterThreeAttemptsInVain) {
    Reachability ways;
    ways.note(report(Kind::deferred, 1, "phone", 0s), steady(0s));
    ways.note(report(Kind::deferred, 2, "phone", 10s), steady(10s));
    EXPECT_THAT(ways.failing(steady(10s)), IsEmpty());

    ways.note(report(Kind::deferred, 3, "phone", 30s), steady(30s));

    const auto failing = ways.failing(steady(30s));
    ASSERT_EQ(failing.size(), 1U);
    EXPECT_EQ(failing[0].messenger, "phone");
    EXPECT_EQ(failing[0].words, "answered 404");
    EXPECT_EQ(failing[0].since, at(0s));
}

TEST(Reachability, IsFailingWhenNothingWentForTwoMinutes) {
    Reachability ways;
    ways.note(report(Kind::deferred, 1), steady(0s));

    EXPECT_THAT(ways.failing(steady(119s)), IsEmpty());
    EXPECT_EQ(ways.failing(steady(120s)).size(), 1U);
}

TEST(Reachability, ADeliveryEndsIt) {
    Reachability ways;
    for (unsigned n = 1; n <= 3; ++n) ways.note(report(Kind::deferred, n), steady(0s));
    ways.note(report(Kind::expired, 4, "lamp"), steady(0s));

    ways.note(report(Kind::delivered, 4), steady(1min));

    EXPECT_THAT(ways.failing(steady(1min)), IsEmpty());
    EXPECT_EQ(ways.failing(steady(3min)).at(0).messenger, "lamp") << "one says nothing of the other";
}

/// phone hears everything, logbook what is high, lamp and horn what is critical.
class FourWays : public testing::Test {
protected:
    void offered(const std::string& messenger, const annunciation::Notice& notice, unsigned attempts = 0) {
        fallback.offered({.id = 1, .messenger = messenger, .notice = notice, .attempts = attempts});
    }
    std::vector<std::string> further(const std::vector<Failing>& failing = {}) {
        std::vector<std::string> out;
        for (const annunciation::Notice& notice : fallback.due(failing))
            for (const std::string& recipient : notice.recipients) out.push_back(recipient);
        return out;
    }
    Fallback fallback{{{"phone", Priority::low},
                       {"logbook", Priority::high},
                       {"lamp", Priority::critical},
                       {"horn", Priority::critical}}};
};

TEST_F(FourWays, AfterThreeAttemptsTheNextOneCarriesItAsWell) {
    offered("phone", notice_of(Priority::high));
    fallback.note(report(Kind::deferred, 2));
    EXPECT_THAT(further(), IsEmpty());

    fallback.note(report(Kind::deferred, 3));

    EXPECT_THAT(further(), ElementsAre("lamp")) << "the logbook hears it anyway";
    fallback.note(report(Kind::deferred, 4));
    EXPECT_THAT(further(), IsEmpty()) << "once";
}

TEST_F(FourWays, OneThatFailsItselfIsPassedOver) {
    offered("phone", notice_of(Priority::high), 3);
    EXPECT_THAT(further({{.messenger = "lamp", .words = "", .since = {}}}), ElementsAre("horn"));

    offered("lamp", notice_of(Priority::high), 3);
    EXPECT_THAT(further({{.messenger = "lamp", .words = "", .since = {}},
                         {.messenger = "horn", .words = "", .since = {}}}),
                ElementsAre("horn"))
        << "where all fail, the next is as good as any";
}

TEST_F(FourWays, WhatAllHearNeedsNobodyElse) {
    offered("phone", notice_of(Priority::critical), 3);

    EXPECT_THAT(further(), IsEmpty());
}

TEST_F(FourWays, WhatWasDeliveredInTimeIsDone) {
    offered("phone", notice_of(Priority::high));
    fallback.note(report(Kind::delivered, 2));

    EXPECT_THAT(further(), IsEmpty());
}

TEST_F(FourWays, WhatTheConfigurationHasNoMessengerForAnyMoreGoesToTheFirst) {
    annunciation::Notice low = notice_of(Priority::medium);
    fallback = Fallback{{{"mobile", Priority::high}, {"lamp", Priority::critical}}};
    offered("pigeon", low);
    fallback.note(report(Kind::expired, 0, "pigeon"));

    EXPECT_THAT(further(), ElementsAre("mobile"));
}

}  // namespace
}  // namespace gyled::notify
