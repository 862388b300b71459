/// Topic filters. The examples are those of MQTT Version 5.0 (OASIS Standard, 7 March 2019), section 4.7,
/// from memory.

#include "sensors/topic.hpp"

#include <gtest/gtest.h>

namespace {

using gyled::sensors::topic_filter_valid;
using gyled::sensors::topic_matches;

TEST(TopicFilter, WithAHashMatchesTheParentAndAllBelow) {
    EXPECT_TRUE(topic_matches("sport/tennis/player1/#", "sport/tennis/player1"));
    EXPECT_TRUE(topic_matches("sport/tennis/player1/#", "sport/tennis/player1/ranking"));
    EXPECT_TRUE(topic_matches("sport/tennis/player1/#", "sport/tennis/player1/score/wimbledon"));
    EXPECT_TRUE(topic_matches("sport/#", "sport"));
    EXPECT_TRUE(topic_matches("#", "sport/tennis"));
    EXPECT_FALSE(topic_matches("sport/tennis/player1/#", "sport/tennis/player2"));
}

TEST(TopicFilter, WithAPlusMatchesExactlyOneLevel) {
    EXPECT_TRUE(topic_matches("sport/tennis/+", "sport/tennis/player1"));
    EXPECT_TRUE(topic_matches("sport/tennis/+", "sport/tennis/player2"));
    EXPECT_FALSE(topic_matches("sport/tennis/+", "sport/tennis/player1/ranking"));
    EXPECT_FALSE(topic_matches("sport/+", "sport"));
    EXPECT_TRUE(topic_matches("sport/+", "sport/"));
    EXPECT_TRUE(topic_matches("+/+", "/finance"));
    EXPECT_TRUE(topic_matches("/+", "/finance"));
    EXPECT_FALSE(topic_matches("+", "/finance"));
    EXPECT_TRUE(topic_matches("+/tennis/#", "sport/tennis/player1"));
}

TEST(TopicFilter, LeavesDollarTopicsToThoseWhoNameThem) {
    EXPECT_FALSE(topic_matches("#", "$SYS/broker/uptime"));
    EXPECT_FALSE(topic_matches("+/monitor/Clients", "$SYS/monitor/Clients"));
    EXPECT_TRUE(topic_matches("$SYS/#", "$SYS/monitor/Clients"));
    EXPECT_TRUE(topic_matches("$SYS/monitor/+", "$SYS/monitor/Clients"));
}

TEST(TopicFilter, DistinguishesCaseAndEmptyLevels) {
    EXPECT_FALSE(topic_matches("ACCOUNTS", "Accounts"));
    EXPECT_TRUE(topic_matches("Accounts payable", "Accounts payable"));
    EXPECT_FALSE(topic_matches("/finance", "finance"));
    EXPECT_FALSE(topic_matches("finance", "finance/"));
    EXPECT_FALSE(topic_matches("cellar/north", "cellar/north/gravity"));
    EXPECT_FALSE(topic_matches("cellar/north/gravity", "cellar/north"));
}

TEST(TopicFilter, IsValidAsTheStandardSays) {
    for (const char* filter :
         {"sport/tennis/#", "#", "+", "+/tennis/#", "sport/+/player1", "/", "/finance", "a//b"})
        EXPECT_TRUE(topic_filter_valid(filter)) << filter;
    for (const char* filter : {"sport/tennis#", "sport/tennis/#/ranking", "sport+", "", "#/", "a/b+/c", "++"})
        EXPECT_FALSE(topic_filter_valid(filter)) << filter;
    EXPECT_FALSE(topic_filter_valid(std::string_view{"a\0b", 3}));
    EXPECT_FALSE(topic_filter_valid(std::string(65'536, 'a')));
    EXPECT_TRUE(topic_filter_valid(std::string(65'535, 'a')));
}

}  // namespace
