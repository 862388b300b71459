/// A batch file against the vessel it is for: each finding stands at its place in the file.

#include <gmock/gmock.h>

#include "tests/config/asking.hpp"

namespace gyled::config {
namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::StartsWith;

const std::string gyled_toml =
    "[site]\nelevation_m = 12\n[[vessel]]\nid = \"north\"\nname = \"North\"\ntotal_volume_l = 26\n"
    "working_pressure_kpa = 120\nrelief_pressure_kpa = 100\n";

Mistakes held_against(const std::string& config_text, const std::string& batch_text) {
    const auto config = parse_config(config_text, "gyled.toml");
    EXPECT_TRUE(config) << (config ? "" : config.error().front().text());
    return config ? check_batch_text(batch_text, "batch.toml", *config) : Mistakes{};
}
Lines texts(const Mistakes& mistakes) {
    Lines lines;
    for (const Mistake& mistake : mistakes) lines.push_back(mistake.text());
    return lines;
}

// All of it was accepted without a word.
TEST(BatchAgainstPlate, FindsEachDangerAtItsKey) {
    const auto found = held_against(gyled_toml,
                                    "name = \"Harbour Mild\"\n"
                                    "vessel = \"north\"\n"
                                    "volume_l = 26\n"
                                    "target_co2_volumes = 4.5\n"
                                    "[[stage]]\n"
                                    "kind = \"boil\"\n"
                                    "head_space = \"sealed\"\n"
                                    "[[stage]]\n"
                                    "kind = \"carbonate\"\n"
                                    "temperature_c = [2, 5]\n"
                                    "pressure_kpa = [400, 600]\n"
                                    "head_space = \"supplied\"\n"
                                    "head_pressure_kpa = 500\n");

    EXPECT_TRUE(has_error(found));
    EXPECT_THAT(
        texts(found),
        ElementsAre(AllOf(StartsWith("batch.toml:3:12: error: 26.0 L"), HasSubstr("volume_l = 24.7")),
                    AllOf(StartsWith("batch.toml:4:22: error: Stage 2 (carbonate): 4.50 volumes"),
                          HasSubstr("target_co2_volumes = ")),
                    AllOf(StartsWith("batch.toml:7:14: error: Stage 1 (boil): "), HasSubstr("vented")),
                    StartsWith("batch.toml:11:16: error: Stage 2 (carbonate): its pressure band"),
                    AllOf(StartsWith("batch.toml:13:21: error: Stage 2 (carbonate): the regulator"),
                          HasSubstr("5.00 bar"), HasSubstr("head_pressure_kpa = 86"))));
}

TEST(BatchAgainstPlate, ADoubtIsAWarning) {
    const auto found =
        held_against(gyled_toml,
                     "name = \"Harbour Mild\"\nvessel = \"north\"\nvolume_l = 21\n"
                     "[[stage]]\nkind = \"ferment\"\nhead_space = \"spunded\"\nhead_pressure_kpa = 95\n");

    EXPECT_FALSE(has_error(found));
    EXPECT_THAT(texts(found),
                ElementsAre(AllOf(StartsWith("batch.toml:7:21: warning: "), HasSubstr("may lift"))));
}

TEST(BatchAgainstPlate, NeedsAVesselThatIsThere) {
    const std::string open = "[[stage]]\nkind = \"ferment\"\n";
    EXPECT_THAT(told(held_against(gyled_toml, "name = \"M\"\nvessel = \"nroth\"\nvolume_l = 21\n" + open)),
                ElementsAre("2:10 vessel: there is no vessel 'nroth'; did you mean 'north'?"));
    EXPECT_THAT(held_against(gyled_toml, "name = \"M\"\nvessel = \"north\"\nvolume_l = 21\n" + open),
                IsEmpty());
}

TEST(BatchAgainstPlate, OfAFileWithMistakesTellsTheseFirst) {
    EXPECT_THAT(told(held_against(gyled_toml,
                                  "name = \"M\"\nvessel = \"north\"\nvolume_l = \"much\"\n"
                                  "[[stage]]\nkind = \"boil\"\nhead_space = \"sealed\"\n")),
                ElementsAre("3:12 volume_l: expected a number, found a text"));
    for (const char* const nonsense :
         {"", "\0", "[[stage]]", "stage = 3", "[[stage]]\nkind = 3\n", "vessel = 7"})
        EXPECT_TRUE(has_error(held_against(gyled_toml, nonsense))) << nonsense;
}

TEST(Vessel, AReliefValveAboveTheWeakestFittingIsADanger) {
    EXPECT_THAT(mistakes_in(north + "weakest_fitting_kpa = 100\nrelief_pressure_kpa = 180\n"),
                ElementsAre(AllOf(StartsWith("5:23 relief_pressure_kpa: "), HasSubstr("DANGER"),
                                  HasSubstr("weakest fitting"), HasSubstr("100 kPa or below"))));
    EXPECT_THAT(mistakes_in(north + "weakest_fitting_kpa = 180\nrelief_pressure_kpa = 180\n"), IsEmpty());
}

TEST(Vessel, WithoutAReliefValveIsTakenWithAWarning) {
    const auto config = parse_config(north, "gyled.toml");
    ASSERT_TRUE(config);
    EXPECT_THAT(texts(config->warnings),
                ElementsAre(AllOf(StartsWith("gyled.toml:1:1: warning: relief_pressure_kpa"),
                                  HasSubstr("no relief valve"))));
    EXPECT_THAT(parse_config(gyled_toml, "gyled.toml")->warnings, IsEmpty());
}

TEST(Vessel, HundredsOfWarningsCrowdOutNoMistake) {
    std::string many;
    for (int i = 0; i < 300; ++i)
        many += "[[vessel]]\nid = \"v" + std::to_string(i) + "\"\ntotal_volume_l = 26\n";
    EXPECT_THAT(mistakes_in(many + "volum_l = 3\n"), ElementsAre(StartsWith("901:1 unknown key 'volum_l'")));
}

TEST(Vessel, WithoutAReliefValveMayNotBeShut) {
    EXPECT_THAT(told(held_against(north,
                                  "name = \"M\"\nvessel = \"north\"\nvolume_l = 21\n[[stage]]\n"
                                  "kind = \"condition\"\nhead_space = \"sealed\"\n")),
                ElementsAre(AllOf(StartsWith("6:14 Stage 1 (condition): "), HasSubstr("no relief valve"))));
}

}  // namespace
}  // namespace gyled::config
