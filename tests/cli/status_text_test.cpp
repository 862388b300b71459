#include "daemon/cli/status_text.hpp"
#include "daemon/cli/alarms_text.hpp"
#include "daemon/cli/batches_text.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace gyled::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using Json = nlohmann::ordered_json;

Json north() {
    return Json::parse(R"({"vessels":[{"id":"north","name":"North","sentence":"Harbour Mild, ferment, day 5.",
        "batch":{"name":"Harbour Mild","stages":[{"kind":"ferment","text":"ferment","state":"now"},{"kind":"crash","text":"crash","state":"to_come"}]},
        "alarms":[{"text":"Beer at 22.1 °C.","priority":"high","raised_at_text":"Thu 5 Mar 16:10","alarm":"north/x/1"}],
        "measured":{"beer_temperature":{"text":"22.1 °C","age_s":7200,"stale":true}},
        "estimates":{"gravity_now":{"text":"1.018 SG","interval":"1.017 to 1.019"}},
        "facts":[{"fact":"fermentation_started","at_text":"Mon 2 Mar 09:00","evidence":"It fell.","revoked":false},
                 {"fact":"carbonated","at_text":"x","evidence":"gone","revoked":true}]}]})");
}

TEST(StatusText, SaysWhatIsInThereWhatIsNextAndWhetherItIsSafe) {
    const std::string text = status_text(north());

    EXPECT_THAT(text, HasSubstr("Harbour Mild, ferment, day 5."));
    EXPECT_THAT(text, HasSubstr("! North: Beer at 22.1 °C. (high, since Thu 5 Mar 16:10)\n    north/x/1"));
    EXPECT_THAT(text, HasSubstr("north/x/1"));
    EXPECT_THAT(text, HasSubstr("1.018 SG   1.017 to 1.019"));
    EXPECT_THAT(text, HasSubstr("2 h ago  STALE"));
    EXPECT_THAT(text, HasSubstr("[ferment], crash"));
    EXPECT_THAT(text, HasSubstr("fermentation started"));
    EXPECT_THAT(text, Not(HasSubstr("gone"))) << "what was taken back is no fact";
    EXPECT_THAT(text, HasSubstr("relief valve"));
}

/// Three in the morning: what stands and what does not work come before everything else.
TEST(StatusText, BeginsWithWhatStandsAndWhatDoesNotWork) {
    Json answer = north();
    Json& alarm = answer["vessels"][0]["alarms"][0];
    alarm["now_text"] = "Beer at 22.4 °C.";
    alarm["first_action"] = "Look at the cooling.";
    answer["watch"] =
        Json::parse(R"({"status":"failing","alarms":[{"text":"No connection to the broker for 5 min.",
        "priority":"high","state":"acknowledged","raised_at_text":"Thu 5 Mar 14:04","alarm":"watch/broker_lost/1",
        "first_action":"Check the broker."}],
        "impairments":[{"name":"broker_lost","text":"no connection to the broker","since_text":"Thu 5 Mar 14:02",
                        "first_aid":"Check the broker and the network."},
                       {"name":"delivery_failing","text":"phone not reached","since_text":"Thu 5 Mar 13:40",
                        "first_aid":""}]})");

    const std::string text = status_text(answer);

    EXPECT_THAT(text,
                ::testing::StartsWith(
                    "! North: Beer at 22.4 °C. (high, since Thu 5 Mar 16:10)\n"
                    "    First: Look at the cooling.\n"
                    "    north/x/1\n"
                    "- No connection to the broker for 5 min. (high, acknowledged, since Thu 5 Mar 14:04)\n"
                    "    First: Check the broker.\n"
                    "    watch/broker_lost/1\n"
                    "\n"
                    "The watch is impaired:\n"
                    "  * no connection to the broker, since Thu 5 Mar 14:02. Check the broker and the "
                    "network.\n"
                    "  * phone not reached, since Thu 5 Mar 13:40.\n"
                    "\n"
                    "North · Harbour Mild\n"));
}

/// A pressure near its limit comes before the relay that does not carry the message of it.
TEST(StatusText, BeginsWithTheMostUrgentWhoeverItConcerns) {
    Json answer = north();
    answer["vessels"][0]["alarms"][0]["priority"] = "critical";
    answer["watch"] =
        Json::parse(R"({"alarms":[{"text":"phone is not reached.","priority":"high","state":"raised",
        "raised_at_text":"Thu 5 Mar 16:00","alarm":"watch/delivery_failing/phone/1"}],"impairments":[]})");

    EXPECT_THAT(status_text(answer), ::testing::StartsWith("! North: Beer at 22.1 °C. (critical,"));
}

TEST(StatusText, MarksWhatRestsOnSomethingOldAndWhatIsBeyondItsLimit) {
    Json answer = north();
    Json& vessel = answer["vessels"][0];
    vessel["limits"]["pressure"] = {{"value", 180.0}, {"text", "1.80 bar"}};
    vessel["measured"]["head_pressure"] = {{"value", 229.0}, {"text", "2.29 bar"}, {"age_s", 1}};
    vessel["estimates"]["co2_volumes"] = Json::parse(
        R"({"text":"2.00 vol","interval":"1.9 to 2.1","stale":true,"rests_on":{"text":"beer temperature","at_text":"x"}})");

    const std::string text = status_text(answer);

    EXPECT_THAT(text, HasSubstr("2.29 bar   1 s ago  AT OR ABOVE THE LIMIT of 1.80 bar"));
    EXPECT_THAT(text, HasSubstr("1.9 to 2.1  STALE: beer temperature of x"));
}

TEST(StatusText, TellsWhatCouldNotBeUsed) {
    EXPECT_EQ(rejected_text(Json::parse(R"({"rejected":{"not_a_number":3,"out_of_range":1}})")),
              "Not used: 3 not a number, 1 out of range.\n");
    EXPECT_EQ(rejected_text(Json::parse(R"({"rejected":{}})")), "");
}

TEST(AlarmsText, SaysWhenThereAreNone) {
    EXPECT_THAT(alarms_text(Json::parse(R"({"alarms":[]})")), HasSubstr("No alarms"));
    EXPECT_THAT(batches_text(Json::parse(R"({"batches":[]})")), HasSubstr("No batches"));
}

}  // namespace
}  // namespace gyled::cli
