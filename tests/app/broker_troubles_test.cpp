#include "daemon/app/broker_troubles.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

constexpr base::Timestamp noon{12h};

std::vector<std::string> names(const base::Impairments& found) {
    std::vector<std::string> out;
    for (const base::Impairment& one : found) out.push_back(one.name);
    return out;
}

TEST(BrokerTroubles, AreNoneWhenAllIsWell) {
    BrokerTroubles troubles;
    EXPECT_THAT(troubles.found({}, noon), IsEmpty());
}

TEST(BrokerTroubles, ALossIsToldForSoLongAfterTheLast) {
    BrokerTroubles troubles{{.told_for = 1h}};
    mqtt::Figures figures;
    figures.sessions_lost = 1;
    EXPECT_THAT(names(troubles.found(figures, noon)), ElementsAre("broker_session_lost"));
    figures.sessions_lost = 2;
    EXPECT_EQ(troubles.found(figures, noon + 50min).at(0).since, noon) << "since the first of the episode";
    EXPECT_THAT(names(troubles.found(figures, noon + 100min)), ElementsAre("broker_session_lost"));
    EXPECT_THAT(troubles.found(figures, noon + 111min), IsEmpty());
    figures.sessions_lost = 3;
    EXPECT_EQ(troubles.found(figures, noon + 5h).at(0).since, noon + 5h);
}

TEST(BrokerTroubles, AClockThatWasSetBackDoesNotKeepALossForEver) {
    BrokerTroubles troubles{{.told_for = 1h}};
    mqtt::Figures figures;
    figures.oversized = 1;
    (void)troubles.found(figures, noon + 24h * 365);
    EXPECT_THAT(troubles.found(figures, noon), IsEmpty());
}

TEST(BrokerTroubles, WhatStandsStandsAsLongAsTheEdgeSaysSo) {
    BrokerTroubles troubles;
    mqtt::Figures figures;
    figures.spool_failing_since = noon;
    figures.spool_problem = "the spool is full";
    figures.rival_since = noon + 1min;
    EXPECT_THAT(names(troubles.found(figures, noon + 48h)), ElementsAre("spool_failing", "rival_client"));
    EXPECT_THAT(troubles.found({}, noon + 48h), IsEmpty());
}

}  // namespace
}  // namespace gyled::app
