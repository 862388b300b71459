/// Each message has an arrival of its own, and what comes twice is known.

#include "daemon/mqtt/arrivals.hpp"

#include <gtest/gtest.h>

#include <fstream>

#include "daemon/mqtt/resent.hpp"
#include "tests/support/broker.hpp"

namespace gyled::mqtt {
namespace {

using namespace std::chrono_literals;

const base::Timestamp noon = *base::from_rfc3339("2026-11-26T12:00:00Z");

TEST(Arrivals, InOneMillisecondAreToldApart) {
    Arrivals arrivals{{"cellar/north/temperature", "cellar/north/gravity"}};

    EXPECT_EQ(arrivals.stamp("cellar/north/temperature", noon), noon);
    EXPECT_EQ(arrivals.stamp("cellar/north/temperature", noon), noon + 1ms);
    EXPECT_EQ(arrivals.stamp("cellar/north/gravity", noon), noon) << "another sensor's";
    EXPECT_EQ(arrivals.stamp("cellar/north/temperature", noon + 1ms), noon + 2ms);
    EXPECT_EQ(arrivals.stamp("cellar/north/temperature", noon + 1s), noon + 1s);
}

TEST(Arrivals, OfOneSensorOnSeveralTopicsAreToldApart) {
    Arrivals arrivals{{"cellar/+/temperature", "cellar/north/#"}};

    EXPECT_EQ(arrivals.stamp("cellar/north/temperature", noon), noon);
    EXPECT_EQ(arrivals.stamp("cellar/south/temperature", noon), noon + 1ms) << "the same wildcard hears it";
    EXPECT_EQ(arrivals.stamp("cellar/north/gravity", noon), noon + 1ms);
}

TEST(Arrivals, AreNotGivenOutAgainByTheNextRun) {
    Arrivals arrivals{{"#"}, noon + 200ms};

    EXPECT_EQ(arrivals.stamp("a", noon), noon + 201ms);
}

TEST(Arrivals, RunAheadOfTheClockByABacklogAndNotByAClockThatWasSetBack) {
    Arrivals arrivals{{"#"}};
    for (int i = 0; i < 150'000; ++i) ASSERT_EQ(arrivals.stamp("a", noon), noon + i * 1ms);
    EXPECT_EQ(arrivals.stamp("a", noon - 1s), noon + 150s) << "a clock that was put right a little";

    EXPECT_EQ(arrivals.stamp("a", noon - 1h), noon - 1h);
    EXPECT_EQ(arrivals.stamp("a", noon - 1h), noon - 1h + 1ms);
}

TEST(Arrivals, OfAnEarlierRunUnderAClockThatWasSetBackSinceAreNoMeasure) {
    Arrivals arrivals{{"#"}, noon + 1h};

    EXPECT_EQ(arrivals.stamp("a", noon), noon);
}

sensors::Message message(std::string payload) {
    return {.topic = "cellar/north/gravity", .payload = std::move(payload), .arrived = noon};
}

bool has(Resent& known, const std::string& payload) {
    return known.is_known(message(payload));
}

TEST(Resent, BeginsWithWhatEndsOurRecord) {
    Resent known{""};
    for (const char* payload : {"1.040", "1.039", "1.038"}) known.note(message(payload));

    known.connected();
    EXPECT_TRUE(has(known, "1.039"));
    EXPECT_TRUE(has(known, "1.038"));
    EXPECT_FALSE(has(known, "1.037")) << "the first attempt never reached us";
    EXPECT_FALSE(has(known, "1.040")) << "another one with an old value";
}

TEST(Resent, OfEqualTextsIsFoundByWhatFollows) {
    Resent known{""};
    for (const char* payload : {"20.0", "20.1", "20.0", "20.0", "20.2"}) known.note(message(payload));

    known.connected();
    EXPECT_TRUE(has(known, "20.0"));
    EXPECT_TRUE(has(known, "20.2"));
    EXPECT_FALSE(has(known, "20.0"));
}

TEST(Resent, WhenNothingOfItReachedUsIsAllNew) {
    Resent known{""};
    known.note(message("1.040"));

    known.connected();
    EXPECT_FALSE(has(known, "1.039"));
    EXPECT_FALSE(has(known, "1.040")) << "what comes behind a new one is new";
}

TEST(Resent, OutlivesTheProcessAndIsForgottenAfterAWhile) {
    testing::TemporaryFolder folder;
    Resent{folder / "packets"}.note(message("1.040"));
    Resent next{folder / "packets"};
    EXPECT_EQ(next.latest_arrival(), noon);
    EXPECT_TRUE(has(next, "1.040"));

    for (std::size_t i = 0; i < Resent::remembered; ++i) next.note(message("1.041"));
    next.connected();
    EXPECT_FALSE(has(next, "1.040"));
}

/// MQTT 5.0, section 2.2.1: as many as there are packet identifiers may be under way.
TEST(Resent, KnowsAllThatABrokerMayHaveUnderWay) {
    Resent known{""};
    constexpr int under_way = 65'535;
    for (int i = 0; i < under_way; ++i) known.note(message(std::to_string(i)));

    known.connected();
    for (int i = 0; i < under_way; ++i) ASSERT_TRUE(has(known, std::to_string(i))) << i;
    EXPECT_FALSE(has(known, "20.0"));
}

TEST(Resent, OfASensorThatAlwaysSaysTheSameKnowsNoMoreThanTheNewest) {
    Resent known{""};
    for (std::size_t i = 0; i < 50'000; ++i) known.note(message("20.0"));

    known.connected();
    std::size_t again = 0;
    while (again < 50'000 && has(known, "20.0")) ++again;
    EXPECT_EQ(again, Resent::followed);
}

TEST(Resent, WithAFileOfNonsenseBeginsAnew) {
    testing::TemporaryFolder folder;
    std::ofstream{folder / "packets"} << "nonsense";

    Resent{folder / "packets"}.note(message("1.040"));

    Resent next{folder / "packets"};
    EXPECT_TRUE(has(next, "1.040"));
}

}  // namespace
}  // namespace gyled::mqtt
