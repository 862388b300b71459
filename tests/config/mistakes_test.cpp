/// What a person may get wrong, and what they are told.

#include <gmock/gmock.h>

#include "daemon/config/report.hpp"
#include "tests/config/asking.hpp"

namespace gyled::config {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::StartsWith;

TEST(Mistakes, TheSmallestRightFileHasNone) {
    EXPECT_THAT(mistakes_in(north), IsEmpty());
}

TEST(Mistakes, ReadAsFileLineColumn) {
    const Mistake mistake{"gyled.toml", 7, 1, "unknown key 'volum_l'; did you mean 'volume_l'?", ""};
    EXPECT_EQ(mistake.text(), "gyled.toml:7:1: error: unknown key 'volum_l'; did you mean 'volume_l'?");
    EXPECT_EQ((Mistake{"gyled.toml", 0, 0, "cannot be read", ""}.text()),
              "gyled.toml: error: cannot be read");
}

TEST(Mistakes, AMisspeltKeyIsGuessed) {
    EXPECT_THAT(mistakes_in("[[vessel]]\nid = \"north\"\ntotal_volum_l = 26\n"),
                ElementsAre("1:1 [[vessel]] needs total_volume_l",
                            "3:1 unknown key 'total_volum_l'; did you mean 'total_volume_l'?"));
    EXPECT_THAT(mistakes_in("[brokr]\n" + north),
                ElementsAre("1:2 unknown key 'brokr'; did you mean 'broker'?"));
    EXPECT_THAT(mistakes_in(north + "[site]\nelevation = 12\ntimezone = \"UTC\"\n"),
                ElementsAre("5:1 unknown key 'elevation'; did you mean 'elevation_m'?",
                            "6:1 unknown key 'timezone'; did you mean 'time_zone'?"));
}

TEST(Mistakes, AFarFetchedKeyIsNotGuessedAt) {
    EXPECT_THAT(
        mistakes_in(north + "[site]\nfavourite_colour = 7\n"),
        ElementsAre(
            "5:1 unknown key 'favourite_colour'; known: name, elevation_m, room_m3, units, time_zone"));
}

TEST(Mistakes, AllAreToldAtOnceInTheOrderOfTheFile) {
    EXPECT_THAT(
        mistakes_in(R"([broker]
url = 5
[site]
elevation_m = "high"
[[vessel]]
id = "north"
total_volume_l = true
warmest_c = [25]
[[sensor]]
vessel = "south"
measures = "gravty"
topic = "a/#/b"
silent_after = 45
)"),
        ElementsAre(
            "2:7 url: expected a text in quotes, found a number",
            "4:15 elevation_m: expected a number, found a text",
            "7:18 total_volume_l: expected a number, found true or false",
            "8:13 warmest_c: expected a number, found a list",
            "10:10 vessel: there is no vessel 'south'; known: north",
            "11:12 measures: unknown word 'gravty'; did you mean 'gravity'?",
            "12:9 topic: 'a/#/b' is not an MQTT topic filter: + stands for one whole level, # only for the "
            "whole end",
            "13:16 silent_after: expected a duration in quotes, as \"45min\", found a number"));
}

TEST(Mistakes, SyntaxIsToldWithItsPlace) {
    EXPECT_THAT(mistakes_in("[[vessel]]\nid = \n"), ElementsAre(StartsWith("2:6 ")));
    EXPECT_THAT(mistakes_in("a = 1\na = 2\n"), ElementsAre(StartsWith("2:")));
    EXPECT_THAT(mistakes_in("name = \"open\n"), ElementsAre(StartsWith("1:")));
    EXPECT_THAT(mistakes_in("\xff\xfe"), ElementsAre(StartsWith("1:")));
}

TEST(Mistakes, OneBracketTooFew) {
    EXPECT_THAT(mistakes_in("[vessel]\nid = \"north\"\n"),
                ElementsAre("1:1 write [[vessel]] with two brackets: there may be several"));
}

TEST(Mistakes, NothingToWatch) {
    EXPECT_THAT(mistakes_in(""), ElementsAre("0:0 there is no [[vessel]]: nothing to watch"));
}

TEST(Mistakes, NumbersOutOfRange) {
    EXPECT_THAT(mistakes_in("[[vessel]]\nid = \"north\"\ntotal_volume_l = -1\nwarmest_c = 400\n"),
                ElementsAre("3:18 total_volume_l: -1 is not between 0.5 and 100000",
                            "4:13 warmest_c: 400 is not between -5 and 60"));
    EXPECT_THAT(mistakes_in("[[vessel]]\nid = \"north\"\ntotal_volume_l = nan\nwarmest_c = -inf\n"),
                ElementsAre(StartsWith("3:18 total_volume_l: nan"), StartsWith("4:13 warmest_c: -inf")));
    EXPECT_THAT(mistakes_in(north + "[storage]\nkeep_raw_days = 0\n"),
                ElementsAre("5:17 keep_raw_days: 0 is not between 1 and 36500"));
    EXPECT_THAT(mistakes_in(north + "[storage]\nkeep_raw_days = 1.5\n"),
                ElementsAre("5:17 keep_raw_days: expected a whole number, found a number"));
}

TEST(Mistakes, IdentifiersBecomePartOfTopicsAndAddresses) {
    for (const char* const id : {"", "north vessel", "a/b", "n\\u00f6rth", "+", "a\\u0000b"})
        EXPECT_THAT(mistakes_in("[[vessel]]\nid = \"" + std::string{id} + "\"\ntotal_volume_l = 26\n"),
                    ElementsAre(StartsWith("2:6 id: 1 to 64 letters")))
            << id;
}

TEST(Mistakes, DoubleNamesSayWhereTheFirstIs) {
    EXPECT_THAT(mistakes_in(north + north), ElementsAre("5:6 id: 'north' is taken already, in line 2"));
}

TEST(Mistakes, DurationsNeedAUnit) {
    const auto of = [](const std::string& text) {
        return mistakes_in(north + "[storage]\ncommit_every = \"" + text + "\"\n");
    };
    EXPECT_THAT(of("10s"), IsEmpty());
    EXPECT_THAT(of("1min 30s"), IsEmpty());
    EXPECT_THAT(of("0.5min"), IsEmpty());
    EXPECT_THAT(
        of("10"),
        ElementsAre("5:16 commit_every: '10' has no unit; write ms, s, min, h or d behind the number"));
    EXPECT_THAT(of("10m"), ElementsAre("5:16 commit_every: '10m': write min for minutes"));
    EXPECT_THAT(
        of("10 fortnights"),
        ElementsAre(
            "5:16 commit_every: '10 fortnights': unknown unit 'fortnights'; known: ms, s, min, h, d"));
    EXPECT_THAT(of("-5s"), ElementsAre(HasSubstr("is not a duration")));
    EXPECT_THAT(of("soon"), ElementsAre(HasSubstr("is not a duration")));
    EXPECT_THAT(of(""), ElementsAre(HasSubstr("a duration is a number with a unit")));
    EXPECT_THAT(of("1e300d"), ElementsAre(HasSubstr("longer than a thousand years")));
    EXPECT_THAT(of("infs"), ElementsAre(HasSubstr("is not a duration")));
    EXPECT_THAT(of("2h"), ElementsAre("5:16 commit_every: 2h is not between 0 s and 10 min"));
}

TEST(Mistakes, AFileTooLargeIsRefused) {
    EXPECT_THAT(mistakes_in(std::string(300 * 1024, '#')),
                ElementsAre(StartsWith("0:0 307200 bytes are more")));
}

TEST(Mistakes, NobodyReadsThousandsOfThem) {
    std::string text = north;
    for (int i = 0; i < 1000; ++i) text += "x" + std::to_string(i) + " = 1\n";
    EXPECT_EQ(mistakes_in(text).size(), 200U);
}

TEST(Excerpt, PutsACaretUnderThePlace) {
    EXPECT_EQ(excerpt("a = 1\nvolum_l = 2\n", {2, 1}), "volum_l = 2\n^");
    EXPECT_EQ(excerpt("a = 1\nvolum_l = 2\n", {2, 11}), "volum_l = 2\n          ^");
    EXPECT_EQ(excerpt("a = 1\r\nb = 2\r\n", {2, 5}), "b = 2\n    ^");
}

TEST(Excerpt, CountsCharactersAndKeepsTabs) {
    EXPECT_EQ(excerpt("\tn\xc3\xb6 = x", {1, 6}), "\tn\xc3\xb6 = x\n\t    ^");
}

TEST(Excerpt, CutsALongLineAroundThePlace) {
    const std::string line(5000, 'x');
    const std::string cut = excerpt(line, {1, 2500});
    EXPECT_LE(cut.size(), 210U);
    EXPECT_EQ(cut.back(), '^');
    const std::size_t newline = cut.find('\n');
    EXPECT_EQ(newline, 100U);
    EXPECT_EQ(cut.size() - newline - 1, 51U) << "fifty before the caret";
}

TEST(Excerpt, NonsenseGivesNothingOrOneLine) {
    EXPECT_EQ(excerpt("a = 1", {0, 0}), "");
    EXPECT_EQ(excerpt("a = 1", {9, 9}), "");
    EXPECT_EQ(excerpt("", {1, 1}), "");
    EXPECT_EQ(excerpt("a\x01\x1b[31m", {1, 99}), "a??[31m\n       ^");
    const std::string halves = "\x80\x80\x80\xff";
    EXPECT_NE(excerpt(halves, {1, 2}).find('^'), std::string::npos);
}

}  // namespace
}  // namespace gyled::config
