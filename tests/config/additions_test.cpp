/// What goes into the boil: as a batch file says it, and how it is refused.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/config/config.hpp"

namespace gyled::config {
namespace {

using ::testing::HasSubstr;
using namespace std::chrono_literals;

base::Result<batch::Plan, Mistakes> boil_with(
    const std::string& additions, const std::string& end = "when = \"time_in_band\", duration = \"60min\"") {
    return parse_batch(
        "name = \"Gull Bitter\"\nvessel = \"north\"\nvolume_l = 21\n[[stage]]\nkind = \"boil\"\n"
        "temperature_c = [97, 103]\nend = { " +
            end + " }\nadditions = " + additions + "\n",
        "boil.toml");
}

TEST(Additions, ComeInTheOrderInWhichTheyAreDue) {
    const auto plan = boil_with(
        "[{ what = \"aroma hops\", before_end = \"5min\" }, { what = \"bittering hops\", before_end = "
        "\"60min\" },\n"
        "  { what = \"whirlpool hops\", before_end = \"0min\" }]");

    ASSERT_TRUE(plan) << plan.error().front().text();
    EXPECT_EQ(plan->stages[0].additions,
              (std::vector<batch::Addition>{
                  {"bittering hops", 60min}, {"aroma hops", 5min}, {"whirlpool hops", 0min}}));
}

TEST(Additions, AreRefusedWithTheirPlace) {
    const std::pair<const char*, const char*> all[] = {
        {"[{ what = \"hops\" }]", "before_end"},
        {"[{ before_end = \"5min\" }]", "what"},
        {"[{ what = \"\", before_end = \"5min\" }]", "1 to 60 characters"},
        {"[{ what = \"hops\", before_end = \"90min\" }]", "lasts 1 h"},
        {"[{ what = \"hops\", before_end = \"soon\" }]", "before_end"},
        {"[{ what = \"hops\", before_end = 5 }]", "before_end"},
        {"[{ what = \"hops\", befor_end = \"5min\" }]", "befor_end"},
        {"{ what = \"hops\", before_end = \"5min\" }", "additions"},
        {"[\"hops\"]", "additions"},
    };
    for (const auto& [additions, hint] : all) {
        const auto plan = boil_with(additions);
        ASSERT_FALSE(plan) << additions;
        std::string said;
        for (const Mistake& mistake : plan.error()) said += mistake.text() + "\n";
        EXPECT_THAT(said, HasSubstr(hint));
        EXPECT_GE(plan.error().front().line, 4U) << additions;
    }
    const auto by_hand = boil_with("[{ what = \"hops\", before_end = \"5min\" }]", "when = \"by_hand\"");
    ASSERT_FALSE(by_hand);
    EXPECT_THAT(by_hand.error().front().text(), HasSubstr("reckoned from the end"));
}

}  // namespace
}  // namespace gyled::config
