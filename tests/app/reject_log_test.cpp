#include "daemon/app/reject_log.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using ::testing::HasSubstr;

constexpr base::Timestamp noon{12h};

sensors::Reject reject(std::string sensor, std::string topic, std::string reason = "not_a_number") {
    return {std::move(sensor), std::move(topic), std::move(reason), "expected a number, found 'x'"};
}

TEST(RejectLog, SaysTheFirstOfAKindAndCountsTheRest) {
    RejectLog log;
    (void)log.summary(noon);
    EXPECT_THAT(log.note(reject("float", "a")).value_or(""), HasSubstr("float: not_a_number"));
    for (int i = 0; i < 41; ++i) EXPECT_FALSE(log.note(reject("float", "a")));
    EXPECT_TRUE(log.note(reject("float", "a", "bad_time"))) << "another reason is another kind";

    EXPECT_FALSE(log.summary(noon + 59s));
    EXPECT_EQ(log.summary(noon + 60s), "rejected 41 more: 41 x float: not_a_number");
    EXPECT_FALSE(log.summary(noon + 120s)) << "nothing since";
    EXPECT_FALSE(log.note(reject("float", "a"))) << "known since";
    EXPECT_TRUE(log.summary(noon + 180s));
}

TEST(RejectLog, AHundredThousandOnFiveThousandTopicsAreOneLineAndASummary) {
    RejectLog log;
    (void)log.summary(noon);
    int lines = 0;
    for (int i = 0; i < 100'000; ++i) {
        const std::string topic = "cellar/" + std::to_string(i % 5000);
        lines += log.note(reject("wildcard", topic)).has_value();
        lines += log.note(reject("", topic, "unclaimed_topic")).has_value();
    }
    EXPECT_EQ(lines, 2);
    EXPECT_TRUE(log.summary(noon + 1min));
}

TEST(RejectLog, IsBoundedHoweverManyKindsThereAre) {
    RejectLog log{{.kinds_max = 3, .kinds_shown = 2}};
    (void)log.summary(noon);
    int lines = 0;
    for (int i = 0; i < 50; ++i) lines += log.note(reject("s" + std::to_string(i), "a")).has_value();
    EXPECT_EQ(lines, 3);
    EXPECT_EQ(log.summary(noon + 1min), "rejected 47 more: 47 x others");
}

TEST(RejectLog, AClockThatWasSetBackSilencesItForAMinuteAtMost) {
    RejectLog log;
    (void)log.summary(noon);
    (void)log.note(reject("float", "a"));
    (void)log.note(reject("float", "a"));
    EXPECT_FALSE(log.summary(noon - 24h));
    EXPECT_TRUE(log.summary(noon - 24h + 1min));
}

}  // namespace
}  // namespace gyled::app
