/// Batch files: what they mean and what they must not say.

#include <gmock/gmock.h>

#include "tests/config/asking.hpp"

namespace gyled::config {
namespace {

using namespace std::chrono_literals;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::StartsWith;

const std::string mild = "name = \"Harbour Mild\"\nvessel = \"north\"\nvolume_l = 21\n";  // lines 1 to 3
const std::string ferment = "[[stage]]\nkind = \"ferment\"\n";                            // lines 4 and 5

TEST(Batch, TheSmallestRightOne) {
    const auto plan = parse_batch(mild + ferment, "batch.toml");
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->culture, base::Culture::ale);
    ASSERT_EQ(plan->stages.size(), 1U);
    EXPECT_EQ(plan->stages[0].head_space, base::HeadSpace::vented);
    EXPECT_EQ(plan->stages[0].end.when, batch::StageEnd::When::by_hand);
}

TEST(Batch, KnowsTheStagesAroundABatch) {
    const auto plan = parse_batch(mild +
                                      "[[stage]]\nkind = \"clean\"\n[[stage]]\nkind = \"rinse\"\n[[stage]]\n"
                                      "kind = \"sanitise\"\n[[stage]]\nkind = \"purge\"\n[[stage]]\n"
                                      "kind = \"tightness\"\nhead_space = \"sealed\"\n",
                                  "batch.toml");
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->stages[0].kind, base::StageKind::clean);
    EXPECT_EQ(plan->stages[4].kind, base::StageKind::tightness);
}

TEST(Batch, ATightnessTestIsOfAClosedVessel) {
    EXPECT_THAT(batch_mistakes_in(mild + "[[stage]]\nkind = \"tightness\"\n"),
                ElementsAre(HasSubstr("head_space: a tightness test needs \"sealed\"")));
    EXPECT_THAT(batch_mistakes_in(mild + "[[stage]]\nkind = \"tightness\"\nhead_space = \"supplied\"\n"
                                         "head_pressure_kpa = 80\n"),
                ElementsAre(HasSubstr("head_space: a tightness test needs \"sealed\"")));
}

TEST(Batch, MomentsKeepTheirOffset) {
    const auto plan =
        parse_batch(mild + ferment + "start = 2026-03-01T18:00:00Z\n[[stage]]\nkind = \"crash\"\n" +
                        "start = 2026-03-08T09:30:00.250+01:00\n",
                    "batch.toml");
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->stages[0].start, base::from_rfc3339("2026-03-01T18:00:00Z"));
    EXPECT_EQ(plan->stages[1].start, base::from_rfc3339("2026-03-08T08:30:00.250Z"));
}

TEST(Batch, AMomentWithoutOffsetIsRefusedWithTheReason) {
    for (const char* const vague :
         {"2026-03-01T18:00:00", "2026-03-01", "18:00:00", "\"2026-03-01T18:00:00Z\""})
        EXPECT_THAT(
            batch_mistakes_in(mild + ferment + "start = " + vague + "\n"),
            ElementsAre(AllOf(StartsWith("6:9 start: "), HasSubstr("another moment on another machine"))))
            << vague;
    EXPECT_THAT(batch_mistakes_in(mild + ferment + "start = 1772388000\n"),
                ElementsAre("6:9 start: expected a date and time, found a number"));
}

TEST(Batch, AMomentOfAnotherAgeIsRefused) {
    for (const char* const far : {"1969-12-31T23:59:59Z", "2200-01-01T00:00:00Z"})
        EXPECT_THAT(batch_mistakes_in(mild + ferment + "start = " + far + "\n"),
                    ElementsAre(AllOf(StartsWith("6:9 start: "), HasSubstr("between 1970 and 2200"))))
            << far;
}

TEST(Batch, StagesFollowOneAnother) {
    EXPECT_THAT(
        batch_mistakes_in(mild + ferment + "start = 2026-03-02T18:00:00Z\n[[stage]]\nkind = \"crash\"\n" +
                          "start = 2026-03-01T18:00:00Z\n"),
        ElementsAre("9:9 start: before the start of an earlier stage"));
}

TEST(Batch, NeedsANameAVesselAVolumeAndAStage) {
    EXPECT_THAT(batch_mistakes_in(""),
                ElementsAre("0:0 a batch needs at least one [[stage]]", "1:1 a batch needs name",
                            "1:1 a batch needs vessel", "1:1 a batch needs volume_l"));
    EXPECT_THAT(batch_mistakes_in(mild + "[stage]\nkind = \"ferment\"\n"),
                ElementsAre("4:1 write [[stage]] with two brackets: there may be several"));
}

TEST(Batch, NothingFermentsUpwards) {
    EXPECT_THAT(
        batch_mistakes_in(mild + "original_gravity = 1.038\nexpected_final_gravity = 1.040\n" + ferment),
        ElementsAre(StartsWith("5:26 expected_final_gravity: not below original_gravity")));
}

TEST(Batch, GravityInPlatoIsNoticed) {
    EXPECT_THAT(batch_mistakes_in(mild + "original_gravity = 9.5\n" + ferment),
                ElementsAre("4:20 original_gravity: 9.5 is not between 1 and 1.2"));
}

TEST(Batch, WordsAreGuessed) {
    EXPECT_THAT(batch_mistakes_in(
                    mild + "cultur = \"ale\"\n[[stage]]\nkind = \"fermant\"\nhead_space = \"spundet\"\n" +
                    "head_pressure_kpa = 50\nend = { when = \"terminal_gravty\" }\n"),
                ElementsAre("4:1 unknown key 'cultur'; did you mean 'culture'?",
                            "6:8 kind: unknown word 'fermant'; did you mean 'ferment'?",
                            "7:14 head_space: unknown word 'spundet'; did you mean 'spunded'?",
                            "8:21 head_pressure_kpa: a vented head space holds no set pressure; for a valve "
                            "or regulator write "
                            "head_space = \"spunded\" or \"supplied\"",
                            "9:16 when: unknown word 'terminal_gravty'; did you mean 'terminal_gravity'?"));
}

TEST(Batch, ASpundingValveHasASetPoint) {
    EXPECT_THAT(batch_mistakes_in(mild + ferment + "head_space = \"spunded\"\n"),
                ElementsAre(AllOf(StartsWith("6:14 head_space: spunded needs head_pressure_kpa"),
                                  HasSubstr("spunding valve"))));
    EXPECT_THAT(batch_mistakes_in(mild + ferment + "head_space = \"supplied\"\n"),
                ElementsAre(HasSubstr("regulator")));
    EXPECT_THAT(batch_mistakes_in(mild + ferment + "head_space = \"vented\"\nhead_pressure_kpa = 0\n"),
                IsEmpty());
    EXPECT_THAT(batch_mistakes_in(mild + ferment + "head_space = \"sealed\"\nhead_pressure_kpa = 50\n"),
                ElementsAre(StartsWith("7:21 head_pressure_kpa: a sealed head space holds no set pressure")));
}

TEST(Batch, EndsHaveWhatTheyNeed) {
    const auto of = [](const std::string& end) {
        return batch_mistakes_in(mild + ferment + "end = " + end + "\n");
    };
    EXPECT_THAT(of("{ when = \"temperature_reached\" }"), ElementsAre("6:7 end needs temperature_c"));
    EXPECT_THAT(of("{ when = \"temperature_reached\", temperature_c = 3 }"), IsEmpty());
    EXPECT_THAT(of("{ when = \"time_in_band\", duration = \"1h\" }"),
                ElementsAre("6:16 when: time_in_band needs the stage's temperature_c = [low, high]"));
    EXPECT_THAT(of("{ when = \"carbonated\" }"),
                ElementsAre("6:16 when: carbonated needs the batch's target_co2_volumes"));
    EXPECT_THAT(of("{ when = \"by_hand\", duration = \"1h\" }"),
                ElementsAre("6:38 duration is for when = \"time_in_band\""));
    EXPECT_THAT(of("\"by_hand\""), ElementsAre("6:7 end: expected a table, found a text"));
    EXPECT_THAT(of("{ }"), ElementsAre("6:7 end needs when"));
}

TEST(Batch, BandsAreLowAndHigh) {
    const auto of = [](const std::string& band) {
        return batch_mistakes_in(mild + ferment + "temperature_c = " + band + "\n");
    };
    EXPECT_THAT(of("[18, 20.5]"), IsEmpty());
    EXPECT_THAT(of("[18, 18]"), IsEmpty());
    EXPECT_THAT(of("[20, 18]"), ElementsAre("6:17 temperature_c: [low, high], but 20 is above 18"));
    EXPECT_THAT(of("[64, 68, 70]"), ElementsAre("6:17 temperature_c: expected [low, high], found 3 entries"));
    EXPECT_THAT(of("[18, \"warm\"]"), ElementsAre("6:22 temperature_c: expected a number, found a text"));
    EXPECT_THAT(of("19"), ElementsAre("6:17 temperature_c: expected a list [low, high], found a number"));
    EXPECT_THAT(of("[18, 300]"), ElementsAre("6:22 temperature_c: 300 is not between -5 and 110"));
}

}  // namespace
}  // namespace gyled::config
