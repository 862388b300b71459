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
        "batch":{"name":"Harbour Mild","stages":[{"kind":"ferment","state":"now"},{"kind":"crash","state":"to_come"}]},
        "alarms":[{"text":"Beer at 22.1 °C.","priority":"high","raised_at_text":"Thu 5 Mar 16:10","alarm":"north/x/1"}],
        "measured":{"beer_temperature":{"text":"22.1 °C","age_s":7200,"stale":true}},
        "estimates":{"gravity_now":{"text":"1.018 SG","interval":"1.017 to 1.019"}},
        "facts":[{"fact":"fermentation_started","at_text":"Mon 2 Mar 09:00","evidence":"It fell.","revoked":false},
                 {"fact":"carbonated","at_text":"x","evidence":"gone","revoked":true}]}]})");
}

TEST(StatusText, SaysWhatIsInThereWhatIsNextAndWhetherItIsSafe) {
    const std::string text = status_text(north());

    EXPECT_THAT(text, HasSubstr("Harbour Mild, ferment, day 5."));
    EXPECT_THAT(text, HasSubstr("! Beer at 22.1 °C."));
    EXPECT_THAT(text, HasSubstr("north/x/1"));
    EXPECT_THAT(text, HasSubstr("1.018 SG   1.017 to 1.019"));
    EXPECT_THAT(text, HasSubstr("2 h ago  STALE"));
    EXPECT_THAT(text, HasSubstr("[ferment] crash"));
    EXPECT_THAT(text, HasSubstr("fermentation started"));
    EXPECT_THAT(text, Not(HasSubstr("gone"))) << "what was taken back is no fact";
    EXPECT_THAT(text, HasSubstr("relief valve"));
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
