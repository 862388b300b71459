/// gyle what-if and gyle carbonate, against the real server; what is believed
/// is the estimator's own.

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/cli/run.hpp"
#include "daemon/estimation/batch_estimator.hpp"
#include "tests/web/live_server.hpp"

namespace gyled::cli {
namespace {

using base::HeadSpace;
using base::Quantity;
using nlohmann::json;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;
using web::LiveServer;
using namespace std::chrono_literals;

struct Said {
    int code;
    std::string out, talk;
};

/// Cold beer on the gas since six hours: 60 kPa at 4 degC.
estimation::Foresight cold_beer(base::Timestamp now) {
    estimation::BatchContext context;
    context.total_volume_l = 26;
    context.beer_volume_l = 21;
    context.relief_kpa = context.lowest_rated_kpa = 180;
    estimation::BatchEstimator estimator{context, now - 6h};
    estimator.enter({now - 6h, base::StageKind::carbonate, HeadSpace::supplied, 60.0, {}});
    for (auto t = now - 6h; t < now; t += 5min) {
        estimator.observe(Quantity::beer_temperature, t, 4);
        estimator.observe(Quantity::head_pressure, t, 60);
    }
    (void)estimator.advance(now);
    return *estimator.foresight();
}

class Asked : public ::testing::Test {
protected:
    Asked() {
        live.in_loop([this] { live.cellar.belief = cold_beer(live.cellar.clock); });
    }
    Said gyle(std::vector<std::string> words) {
        words.insert(words.begin(), "gyle");
        words.insert(words.end(), {"--socket", live.folder.file("s")});
        std::vector<const char*> argv;
        for (const std::string& word : words) argv.push_back(word.c_str());
        std::ostringstream out, talk;
        const int code = run(static_cast<int>(argv.size()), argv.data(), out, talk);
        return {code, out.str(), talk.str()};
    }
    LiveServer live;
};
using WhatIf = Asked;
using Carbonate = Asked;

TEST_F(WhatIf, AnswersWithCurvesAndRanges) {
    const Said said = gyle({"what-if", "north", "--gas", "now", "--set", "90kPa", "--temperature",
                            "2C@Sat20:00", "--for", "3d", "--json"});
    ASSERT_EQ(said.code, 0) << said.talk << said.out;
    const json answer = json::parse(said.out);
    const json& last = answer["course"].back();
    EXPECT_EQ(last["at"], "2026-03-16T18:00:00Z");
    EXPECT_NEAR(last["head_pressure"]["value"].get<double>(), 90, 0.5);
    EXPECT_EQ(last["beer_temperature"]["value"], 2.0);
    EXPECT_LT(last["co2_volumes"]["low"], last["co2_volumes"]["value"]);
    EXPECT_EQ(answer["course"].front()["beer_temperature"]["value"], 4.0) << "Saturday is to come";
}

TEST_F(WhatIf, RefusesWhatTheVesselDoesNotBearInWords) {
    const Said said = gyle({"what-if", "north", "--close", "now", "--set", "1.75bar"});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.out, AllOf(HasSubstr("! Do not: The spunding valve would be set to 1.75 bar"),
                                HasSubstr("no more than 1.66 bar"), Not(HasSubstr("vol"))));
}

TEST_F(WhatIf, NamesWhatItDoesNotUnderstand) {
    EXPECT_THAT(gyle({"what-if", "north", "--close", "yesterday"}).talk, HasSubstr("no moment to come"));
    EXPECT_THAT(gyle({"what-if", "north", "--temperature", "cold"}).talk, HasSubstr("'cold'"));
    EXPECT_THAT(gyle({"what-if", "north", "--set", "1bar"}).talk, HasSubstr("say which valve"));
    EXPECT_THAT(gyle({"what-if", "north", "--for", "90d"}).talk, HasSubstr("from 1h to 21d"));
    EXPECT_THAT(gyle({"what-if", "west", "--close", "now"}).talk, HasSubstr("No vessel is called 'west'"));
    EXPECT_THAT(gyle({"what-if", "south", "--close", "now"}).talk, HasSubstr("Nothing is believed"));
    EXPECT_EQ(gyle({"what-if", "north", "--close", "now", "--vent", "now"}).code, 2);
}

TEST_F(Carbonate, PlansForTheBatchsTarget) {
    const Said said = gyle({"carbonate", "north", "--target", "2.6"});
    ASSERT_EQ(said.code, 0) << said.talk << said.out;
    EXPECT_THAT(said.out, AllOf(HasSubstr("Set and wait: ready "), HasSubstr("Set the regulator to 0."),
                                HasSubstr("Faster: ready"), HasSubstr("no higher"),
                                HasSubstr("! Forgotten at"), HasSubstr("CO2 kills")));
    const json answer = json::parse(gyle({"carbonate", "north", "--json"}).out);
    EXPECT_EQ(answer["target"]["value"], 2.1) << "the plan's";
    EXPECT_GT(gyle({"carbonate", "north", "--target", "2.9", "--temperature", "20C"}).code, 0);
}

}  // namespace
}  // namespace gyled::cli
