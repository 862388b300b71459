#include "daemon/base/text.hpp"

#include <gtest/gtest.h>

namespace gyled::base {
namespace {

// "é" is C3 A9, "€" E2 82 AC, "🍺" F0 9F 8D BA (The Unicode Standard, code charts).
TEST(Text, CountsCharactersNotBytes) {
    EXPECT_EQ(characters(""), 0U);
    EXPECT_EQ(characters("abc"), 3U);
    EXPECT_EQ(characters("\xC3\xA9\xE2\x82\xAC\xF0\x9F\x8D\xBA"), 3U);
}

TEST(Text, IsCutBetweenCharacters) {
    EXPECT_EQ(shortened("abc", 3), "abc");
    EXPECT_EQ(shortened("abcd", 3), "ab…");
    EXPECT_EQ(shortened("\xC3\xA9\xC3\xA9\xC3\xA9", 2), "\xC3\xA9…");
    EXPECT_EQ(shortened("\xF0\x9F\x8D\xBA\xF0\x9F\x8D\xBA", 1), "…");
}

TEST(Text, IsCutBetweenWordsWhereThatLeavesHalf) {
    EXPECT_EQ(shortened("the vessel by the stairs", 12), "the vessel…");
    EXPECT_EQ(shortened("the vessel by the stairs", 11), "the vessel…") << "a gap is no word";
    EXPECT_EQ(shortened("a Fermentador", 8), "a Ferme…") << "too little would be left";
    EXPECT_EQ(
        headline("Fermentador da adega do porto, à esquerda da escada", ": the vent is blocked, 0.11 bar"),
        "Fermentador da adega do…: the vent is blocked, 0.11 bar");
}

TEST(Text, AHeadlineGivesUpTheNameBeforeTheNews) {
    EXPECT_EQ(headline("North", " is warm"), "North is warm");
    const std::string long_name = headline(std::string(100, 'x'), " is warm");
    EXPECT_EQ(characters(long_name), title_characters);
    EXPECT_EQ(long_name.substr(long_name.size() - 8), " is warm");
    EXPECT_EQ(characters(headline("North", std::string(100, 'y'))), title_characters);
}

TEST(Text, IsSpokenAsAPersonSaysIt) {
    EXPECT_EQ(spoken("beer_temperature"), "beer temperature");
    EXPECT_EQ(capitalised("head pressure"), "Head pressure");
    EXPECT_EQ(capitalised("écru"), "écru");
    EXPECT_EQ(capitalised(""), "");
}

}  // namespace
}  // namespace gyled::base
