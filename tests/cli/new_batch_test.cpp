/// gyle batch new: a batch file from a ready-made plan. And the ready-made plans themselves: each is in
/// order, and is borne by the vessels of the sample configuration.

#include <gmock/gmock.h>

#include <fstream>
#include <iostream>
#include <sstream>

#include "daemon/cli/batch_text.hpp"
#include "daemon/cli/ready_plans.hpp"
#include "daemon/cli/run.hpp"
#include "daemon/config/config.hpp"
#include "tests/web/live_server.hpp"

namespace gyled::cli {
namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

const std::string sample_config = std::string{GYLED_SOURCE_DIR} + "/config/gyled.toml";

struct Said {
    int code;
    std::string out, talk;
};

/// `answers`: what the person types.
Said gyle(std::vector<std::string> words, const std::string& answers = {}) {
    words.insert(words.begin(), "gyle");
    std::vector<const char*> argv;
    for (const std::string& word : words) argv.push_back(word.c_str());
    std::istringstream in{answers};
    std::ostringstream out, talk;
    auto* const before = std::cin.rdbuf(in.rdbuf());
    const int code = run(static_cast<int>(argv.size()), argv.data(), out, talk);
    std::cin.rdbuf(before);
    std::cin.clear();
    return {code, out.str(), talk.str()};
}

batch::Plan plan_of(const std::string& text) {
    auto plan = config::parse_batch(text, "new.toml");
    EXPECT_TRUE(plan) << (plan ? "" : plan.error().front().text()) << '\n' << text;
    return plan ? *plan : batch::Plan{};
}

TEST(ReadyPlans, AreThere) {
    std::vector<std::string_view> names;
    for (const ReadyPlan& plan : ready_plans()) names.push_back(plan.name);
    EXPECT_THAT(names, ElementsAre("ale", "brew-day", "clean", "lager", "mixed", "pressure"));
}

TEST(ReadyPlans, AreBorneByTheVesselsOfTheSampleConfiguration) {
    for (const ReadyPlan& plan : ready_plans()) {
        const std::string file =
            std::string{GYLED_SOURCE_DIR} + "/config/batches/" + std::string{plan.name} + ".toml";
        const Said said = gyle({"check", "--batch", file, "--config", sample_config});
        EXPECT_EQ(said.code, 0) << said.talk;
        EXPECT_THAT(said.talk, HasSubstr("all in order")) << "no doubt either";
    }
}

TEST(NewBatch, KeepsThePlanItsCommentsAndWhatIsNotSaid) {
    const Said said = gyle({"batch", "new", "--like", "lager", "-o", "-"});

    EXPECT_EQ(said.code, 0) << said.talk;
    EXPECT_EQ(said.out, std::string{ready_plans()[3].text});
}

TEST(NewBatch, TakesValuesInTheUnitsTheyAreTypedIn) {
    const Said said = gyle({"batch", "new", "--like", "lager", "--name", "Slipway \"Dunkel\"", "--vessel",
                            "north", "--volume", "5.5gal", "--original-gravity", "12P", "--final-gravity",
                            "1.012", "--target-co2", "2.3", "-o", "-"});

    EXPECT_EQ(said.code, 0) << said.talk;
    const batch::Plan plan = plan_of(said.out);
    EXPECT_EQ(plan.name, "Slipway \"Dunkel\"");
    EXPECT_EQ(plan.vessel, "north");
    EXPECT_NEAR(plan.volume_l, 20.8, 1e-9);             // 20.82 L: 231 cubic inches a gallon, NIST SP 811
    EXPECT_NEAR(*plan.original_gravity, 1.0483, 1e-4);  // 12 degP: ASBC table of extract (from memory)
    EXPECT_EQ(plan.expected_final_gravity, 1.012);
    EXPECT_EQ(plan.target_co2_volumes, 2.3);
    EXPECT_EQ(plan.culture_name, "quay house") << "not said: as in the plan";
    EXPECT_THAT(said.out, HasSubstr("# SG 20/20"));
}

/// 15 L for 5 kg of grain at 20 degC and a mash of 67 degC: 73.3 degC (any textbook, without slaking); the
/// slaking heat of malt at 4 % moisture takes some 1.6 degC off (Pauls and Whites' table, taken as a heat).
TEST(NewBatch, ReckonsTheStrikeFromGrainAndLiquor) {
    const Said said = gyle({"batch", "new", "--like", "ale", "--grain", "5kg", "--liquor", "15L",
                            "--grain-temperature", "20C", "--mash", "67C", "-o", "-"});

    EXPECT_EQ(said.code, 0) << said.talk;
    const batch::Plan plan = plan_of(said.out);
    EXPECT_EQ(plan.stages[0].kind, base::StageKind::strike);
    EXPECT_NEAR(*plan.stages[0].end.temperature_c, 73.3 - 1.6, 0.3);
    EXPECT_NEAR(plan.stages[0].temperature_c->low, *plan.stages[0].end.temperature_c - 1, 0.051);
    EXPECT_EQ(plan.stages[1].temperature_c, (base::Band{66, 68.5}));
    EXPECT_EQ(plan.stages[1].end.duration, std::chrono::minutes{60}) << "the rest of the stage stands";
    EXPECT_EQ(plan.stages[4].end.temperature_c, 19.0) << "another stage's end stands";
}

TEST(NewBatch, AsksAndAsksAgainWhereTheAnswerIsNone) {
    const Said said = gyle({"batch", "new", "--ask", "-o", "-"},
                           "porter\nale\nPilot Porter\nsouth\nmuch\n40L\n1048\n1.056\n\n\n\n\n\n\n\n");

    EXPECT_EQ(said.code, 0) << said.talk;
    EXPECT_THAT(said.talk, AllOf(HasSubstr("There is no plan 'porter'; there are ale, brew-day"),
                                 HasSubstr("did you mean 1.048"), HasSubstr("Grain")));
    const batch::Plan plan = plan_of(said.out);
    EXPECT_EQ(plan.name, "Pilot Porter");
    EXPECT_EQ(plan.vessel, "south");
    EXPECT_EQ(plan.volume_l, 40);
    EXPECT_EQ(plan.original_gravity, 1.056);
    EXPECT_EQ(plan.expected_final_gravity, 1.011) << "an empty line takes what is offered";
}

TEST(NewBatch, WritesNothingWhenTheAnswersEnd) {
    web::ScratchFolder folder;
    const std::string file = folder.file("new.toml");
    const Said said = gyle({"batch", "new", "--ask", "-o", file}, "ale\nPilot\n");

    EXPECT_EQ(said.code, 1);
    EXPECT_FALSE(std::ifstream{file}.good());
}

TEST(NewBatch, WritesAFileOnceAndHoldsItAgainstItsVessel) {
    web::ScratchFolder folder;
    const std::string file = folder.file("new.toml");
    const std::vector<std::string> words{"batch", "new", "--like", "pressure", "--volume",
                                         "25.9L", "-o",  file,     "-c",       sample_config};

    const Said said = gyle(words);
    EXPECT_EQ(said.code, 0) << said.talk;
    EXPECT_THAT(said.talk, AllOf(HasSubstr("gyle batch start " + file), HasSubstr("head space")));
    EXPECT_TRUE(config::load_batch(file));

    EXPECT_EQ(gyle(words).code, 1) << "never over a file that is there";
    EXPECT_THAT(gyle(words).talk, HasSubstr("is there already"));
}

TEST(NewBatch, RefusesNonsenseAndSaysWhere) {
    using Words = std::vector<std::string>;
    const std::pair<Words, const char*> all[] = {
        {{"--like", "porter"}, "There is no plan 'porter'"},
        {{"--like", "ale", "--volume", "much"}, "--volume"},
        {{"--like", "ale", "--volume", "-3L"}, "--volume"},
        {{"--like", "ale", "--original-gravity", "1048"}, "did you mean 1.048"},
        {{"--like", "ale", "--original-gravity", "1.008"}, "expected_final_gravity"},
        {{"--like", "ale", "--grain", "5kg"}, "give both"},
        {{"--like", "ale", "--grain", "0kg", "--liquor", "15L"}, ""},
        {{"--like", "ale", "--grain", "50kg", "--liquor", "15L"}, "make no mash"},
        {{"--like", "lager", "--grain", "5kg", "--liquor", "15L"}, "has no strike"},
        {{"--like", "ale", "--vessel", "no such vessel!"}, "vessel"},
        {{"--like", "ale", "-c", "/nowhere.toml"}, "nowhere"},
    };
    for (const auto& [more, hint] : all) {
        Words words{"batch", "new", "-o", "-"};
        words.insert(words.end(), more.begin(), more.end());
        const Said said = gyle(words);
        EXPECT_EQ(said.code, 2) << more.back() << said.talk;
        EXPECT_THAT(said.talk, HasSubstr(hint));
        EXPECT_THAT(said.out, IsEmpty());
    }
    EXPECT_EQ(gyle({"batch", "new", "--like", "ale", "-o", "/nowhere/new.toml"}).code, 1);
}

TEST(BatchText, ChangesAValueAndLeavesItsComment) {
    BatchText text{
        "# head\nname = \"A # B\"  # its name\n#original_gravity = 1.038   # SG\n\n[[stage]]\nkind = "
        "\"mash\"\n"
        "temperature_c = [66.0, 68.5]  # warm\nend = { when = \"temperature_reached\", temperature_c = 66.0 "
        "} # there\n"};

    text.set("name", toml_string("B"));
    text.set("original_gravity", "1.05");
    text.set("culture", "\"ale\"");
    text.set(base::StageKind::mash, "temperature_c", "[60, 62]");
    text.set(base::StageKind::mash, "end.temperature_c", "61.5");
    text.set(base::StageKind::boil, "temperature_c", "[1, 2]");

    EXPECT_EQ(text.text(),
              "# head\nname = \"B\"      # its name\noriginal_gravity = 1.05     # SG\nculture = "
              "\"ale\"\n\n[[stage]]\nkind = \"mash\"\n"
              "temperature_c = [60, 62]      # warm\nend = { when = \"temperature_reached\", temperature_c = "
              "61.5 } # there\n");
    EXPECT_EQ(toml_string("a\"b\\c\n"), "\"a\\\"b\\\\c\"");
}

}  // namespace
}  // namespace gyled::cli
