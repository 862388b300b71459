/// gyle check: what it says of a batch file and the vessel that the batch is for.

#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/cli/run.hpp"
#include "tests/web/live_server.hpp"

namespace gyled::cli {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

struct Said {
    int code;
    std::string out, talk;
};

class CheckBatch : public ::testing::Test {
protected:
    std::string file(const std::string& name, const std::string& text) {
        const std::string path = folder.file(name);
        std::ofstream{path} << text;
        return path;
    }
    static Said gyle(std::vector<std::string> words) {
        words.insert(words.begin(), "gyle");
        std::vector<const char*> argv;
        for (const std::string& word : words) argv.push_back(word.c_str());
        std::ostringstream out, talk;
        const int code = run(static_cast<int>(argv.size()), argv.data(), out, talk);
        return {code, out.str(), talk.str()};
    }

    web::ScratchFolder folder;
    std::string config = file("gyled.toml",
                              "[[vessel]]\nid = \"north\"\ntotal_volume_l = 26\nworking_pressure_kpa = 200\n"
                              "relief_pressure_kpa = 180\n");
    const std::string head = "name = \"Harbour Mild\"\nvessel = \"north\"\nvolume_l = 21\n";
    const std::string supplied =
        "[[stage]]\nkind = \"carbonate\"\nhead_space = \"supplied\"\nhead_pressure_kpa = ";
};

TEST_F(CheckBatch, RefusesWhatTheVesselDoesNotBear) {
    const std::string batch = file("mild.toml", head + supplied + "500\n");

    const Said said = gyle({"check", "--batch", batch, "--config", config});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.talk,
                AllOf(HasSubstr("mild.toml:7:21: error: Stage 1 (carbonate)"), HasSubstr("5.00 bar"),
                      HasSubstr("head_pressure_kpa = 166"), Not(HasSubstr("in order"))));
    EXPECT_THAT(said.out, IsEmpty());

    const auto json =
        nlohmann::json::parse(gyle({"check", "--batch", batch, "--config", config, "--json"}).out);
    EXPECT_EQ(json["mistakes"].size(), 1U);
    EXPECT_EQ(json["mistakes"][0]["line"], 7);
    EXPECT_TRUE(json["warnings"].empty());
}

TEST_F(CheckBatch, WarnsOfWhatIsDoubtful) {
    const std::string batch = file("mild.toml", head + supplied + "170\n");

    const Said said = gyle({"check", "--batch", batch, "-c", config});
    EXPECT_EQ(said.code, 0);
    EXPECT_THAT(said.talk,
                AllOf(HasSubstr("warning: "), HasSubstr("may lift"), HasSubstr("but for the warnings")));
    const auto json = nlohmann::json::parse(gyle({"check", "--batch", batch, "-c", config, "--json"}).out);
    EXPECT_TRUE(json["mistakes"].empty());
    EXPECT_EQ(json["warnings"].size(), 1U);
}

TEST_F(CheckBatch, SaysAllInOrderOfWhatFits) {
    const Said said = gyle({"check", "--batch", file("mild.toml", head + supplied + "85\n"), "-c", config});
    EXPECT_EQ(said.code, 0);
    EXPECT_THAT(said.talk, HasSubstr("all in order"));
}

TEST_F(CheckBatch, WithoutAConfigurationSaysThatNothingWasCompared) {
    if (std::filesystem::exists("/etc/gyled/gyled.toml")) GTEST_SKIP() << "gyled is installed here";
    const Said said = gyle({"check", "--batch", file("mild.toml", head + supplied + "500\n")});
    EXPECT_EQ(said.code, 0);
    EXPECT_THAT(said.talk, HasSubstr("not compared with its vessel"));
}

TEST_F(CheckBatch, TakesNoNonsense) {
    const std::string batch = file("mild.toml", head + supplied + "85\n");
    EXPECT_EQ(gyle({"check", "--batch", batch, "-c", folder.file("")}).code, 1) << "a folder";
    EXPECT_EQ(gyle({"check", "--batch", batch, "-c", batch}).code, 1) << "no configuration";
    EXPECT_EQ(gyle({"check", "--batch", config, "-c", config}).code, 1) << "no batch file";
    EXPECT_EQ(gyle({"check", "--batch", folder.file("nothing"), "-c", config}).code, 1);
    EXPECT_EQ(gyle({"check", config, "-c", config}).code, 2) << "a configuration is held against none";
    EXPECT_EQ(gyle({"check"}).code, 2);
}

}  // namespace
}  // namespace gyled::cli
