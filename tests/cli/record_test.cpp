/// gyle report, export and import, against the real server with the invented cellar behind it.

#include <gmock/gmock.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/cli/run.hpp"
#include "tests/web/live_server.hpp"

namespace gyled::cli {
namespace {

using nlohmann::json;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;
using ::testing::StartsWith;
using web::LiveServer;
using web::harbour_mild::start;
using namespace std::chrono_literals;

struct Said {
    int code;
    std::string out, talk;
};

class OfARecord : public ::testing::Test {
protected:
    Said gyle(std::vector<std::string> words) {
        words.insert(words.begin(), "gyle");
        words.insert(words.end(), {"--socket", live.folder.file("s")});
        std::vector<const char*> argv;
        for (const std::string& word : words) argv.push_back(word.c_str());
        std::ostringstream out, talk;
        const int code = run(static_cast<int>(argv.size()), argv.data(), out, talk);
        return {code, out.str(), talk.str()};
    }
    std::string file(const std::string& name, const std::string& text) {
        std::ofstream{live.folder.file(name)} << text;
        return live.folder.file(name);
    }
    static std::string contents(const std::string& path) {
        std::ifstream stream{path};
        std::stringstream text;
        text << stream.rdbuf();
        return text.str();
    }
    std::vector<cellar::StoredValue> values() {
        return live.in_loop(
            [this] { return live.cellar.values("north", start, web::harbour_mild::end, 1'000'000).values; });
    }
    std::vector<sensors::Reading> imported() {
        return live.in_loop([this] { return live.cellar.imported; });
    }
    LiveServer live;
};
using Report = OfARecord;
using Export = OfARecord;
using Import = OfARecord;

// ---- report

TEST_F(Report, IsOnePageOfTheBatchByIdNameOrVessel) {
    for (const char* const called : {"harbour-mild-2026-03-01", "Harbour Mild", "north"}) {
        const Said said = gyle({"report", called});
        ASSERT_EQ(said.code, 0) << said.talk;
        EXPECT_THAT(said.out, AllOf(StartsWith("<!doctype html>"), HasSubstr("<h1>Harbour Mild</h1>"),
                                    HasSubstr("<figcaption>Gravity, SG"), HasSubstr("hydrometer, 20 °C"),
                                    HasSubstr("North: back in its band"), HasSubstr("still running")));
    }
}

TEST_F(Report, GoesIntoAFileOrSaysThatItCannot) {
    EXPECT_EQ(gyle({"report", "north", "-o", live.folder.file("mild.html")}).code, 0);
    EXPECT_THAT(contents(live.folder.file("mild.html")), HasSubstr("</html>"));

    const Said said = gyle({"report", "north", "-o", live.folder.file("nowhere/mild.html")});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.talk, HasSubstr("cannot write"));
}

TEST_F(Report, OfABatchThatNobodyKnowsIsRefused) {
    const Said said = gyle({"report", "No Such Porter"});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.talk, HasSubstr("called 'No Such Porter'"));
    EXPECT_THAT(said.out, IsEmpty());
    live.in_loop([this] { live.cellar.store_is_broken = true; });
    EXPECT_EQ(gyle({"report", "north"}).code, 1);
}

// ---- export

TEST_F(Export, WritesATableThatImportReadsAgain) {
    const Said said = gyle({"export", "Harbour Mild"});
    ASSERT_EQ(said.code, 0) << said.talk;
    EXPECT_THAT(said.out, StartsWith("time,vessel,quantity,sensor,value,low,high,unit\r\n"
                                     "2026-03-01T18:00:00Z,north,beer_temperature,north_temperature,"));
    std::size_t stored = 0, old_readings = 0;
    for (const auto& v : values()) {
        ++stored;
        if (!v.sensor.empty() && v.at <= web::harbour_mild::end - 1h) ++old_readings;
    }
    ASSERT_GT(old_readings, 1000u);
    EXPECT_EQ(static_cast<std::size_t>(std::ranges::count(said.out, '\n')), 1 + stored);

    const Said again = gyle({"import", file("again.csv", said.out)});
    ASSERT_EQ(again.code, 0) << again.talk;
    const auto readings = imported();
    ASSERT_THAT(readings, SizeIs(old_readings)) << "beliefs are made anew; the last hour is the broker's";
    EXPECT_EQ(readings.front().at, start);
    EXPECT_EQ(readings.front().sensor, "north_temperature");
    EXPECT_DOUBLE_EQ(readings.back().value,
                     web::harbour_mild::measured(base::Quantity::beer_temperature, readings.back().at));
}

TEST_F(Export, WritesLinesOfJsonWithinTheTimesAskedFor) {
    const Said said = gyle({"export", "north", "--format", "jsonl", "--only", "estimates", "--from",
                            "2026-03-02T18:00:00Z", "--to", "2026-03-02T19:00:00Z"});
    ASSERT_EQ(said.code, 0) << said.talk;
    std::istringstream lines{said.out};
    std::string line;
    int count = 0;
    while (std::getline(lines, line)) {
        const json value = json::parse(line);
        EXPECT_EQ(value["quantity"], "gravity_now");
        EXPECT_EQ(value["unit"], "SG");
        EXPECT_LT(value["low"], value["high"]);
        ++count;
    }
    EXPECT_EQ(count, 4);
}

TEST_F(Export, OfWhatNobodyKnowsIsRefused) {
    const Said said = gyle({"export", "No Such Porter"});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.talk, HasSubstr("'No Such Porter'"));
    EXPECT_EQ(gyle({"export", "north", "--from", "yesterday"}).code, 1);
    EXPECT_EQ(gyle({"export", "north", "--format", "xml"}).code, 2);
}

// ---- import

TEST_F(Import, TakesATableInThePersonsUnits) {
    const Said said = gyle({"import", "--vessel", "north",
                            file("old.csv",
                                 "time,quantity,value,unit\n"
                                 "2026-02-01T10:00:00Z,beer_temperature,68,degF\n"
                                 "1769940060,gravity,1.048,\n"
                                 "\"2026-02-01T10:02:00Z\",gravity,12P,\n")});
    EXPECT_EQ(said.code, 0) << said.talk;
    EXPECT_THAT(said.talk, HasSubstr("3 new readings, 0 known already"));
    const auto readings = imported();
    ASSERT_THAT(readings, SizeIs(3));
    EXPECT_DOUBLE_EQ(readings[0].value, 20.0);
    EXPECT_EQ(readings[0].vessel, "north");
    EXPECT_EQ(base::to_rfc3339(readings[1].at), "2026-02-01T10:01:00Z");
    // 12 °P is SG 1.04837 (ASBC tables, as in tests/reference)
    EXPECT_NEAR(readings[2].value, 1.0484, 0.0001);
    EXPECT_EQ(live.in_loop([this] { return live.cellar.imports; }), 1u)
        << "belief begins anew once, at the end";
}

TEST_F(Import, TakesASpreadsheetsSemicolonsAndCommas) {
    const Said said = gyle({"import", "--vessel", "north",
                            file("old.csv",
                                 "\xEF\xBB\xBFtime;quantity;value\r\n"
                                 "2026-02-01T10:00:00Z;beer_temperature;19,5\r\n")});
    EXPECT_EQ(said.code, 0) << said.talk;
    ASSERT_THAT(imported(), SizeIs(1));
    EXPECT_DOUBLE_EQ(imported()[0].value, 19.5);
}

TEST_F(Import, MayBeSaidTwice) {
    const std::string table = file("old.csv",
                                   "time,vessel,quantity,value\n"
                                   "2026-02-01T10:00:00Z,north,gravity,1.048\n"
                                   "2026-02-01T11:00:00Z,north,gravity,1.047\n");
    EXPECT_EQ(gyle({"import", table}).code, 0);
    const Said again = gyle({"import", table});
    EXPECT_EQ(again.code, 0);
    EXPECT_THAT(again.talk, HasSubstr("0 new readings, 2 known already"));
    EXPECT_THAT(imported(), SizeIs(2));
}

TEST_F(Import, NamesEachBadLineAndTakesTheOthers) {
    const Said said = gyle({"import", "--vessel", "north",
                            file("old.csv",
                                 "time,quantity,value\n"
                                 "2026-02-01T10:00:00Z,gravity,1.048\n"
                                 "yesterday,gravity,1.047\n"
                                 "2026-02-01T10:00:00Z,bitterness,40\n"
                                 "2026-02-01T10:00:00Z,gravity,1048\n"
                                 "2026-02-01T10:00:00Z,beer_temperature,\n"
                                 "\"2026-02-01T10:00:00Z,gravity,1.04\n"
                                 "1769940060000,gravity,1.04\n"
                                 "\n"
                                 "# a note\n"
                                 "2026-02-01T12:00:00Z,gravity,1.046\n")});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.talk, AllOf(HasSubstr("line 3: 'yesterday' is no time"),
                                 HasSubstr("line 4: 'bitterness'"), HasSubstr("line 5: "),
                                 HasSubstr("line 6: "), HasSubstr("line 7: a quotation does not end"),
                                 HasSubstr("line 8: "), HasSubstr("2 new readings"), HasSubstr("6 bad"),
                                 Not(HasSubstr("line 9")), Not(HasSubstr("line 10"))));
    EXPECT_THAT(imported(), SizeIs(2));
}

TEST_F(Import, TriedDryTellsWhatIsInItAndSendsNothing) {
    const Said said = gyle({"import", "--dry-run", "--vessel", "north",
                            file("old.csv",
                                 "time,quantity,value\n"
                                 "2026-02-01T10:00:00Z,gravity,1.048\n"
                                 "2026-02-03T10:00:00Z,gravity,1.040\n")});
    EXPECT_EQ(said.code, 0);
    EXPECT_THAT(said.out, AllOf(HasSubstr("north"), HasSubstr("gravity"),
                                HasSubstr("2   2026-02-01T10:00:00Z to "
                                          "2026-02-03T10:00:00Z")));
    EXPECT_THAT(imported(), IsEmpty());
}

TEST_F(Import, LeavesWhatIsYoungToTheBroker) {
    const Said said = gyle({"import", "--vessel", "north",
                            file("new.csv",
                                 "time,quantity,value\n"
                                 "2026-03-13T16:30:00Z,gravity,1.012\n"
                                 "2026-03-13T17:30:00Z,gravity,1.011\n"
                                 "2026-04-13T17:30:00Z,gravity,1.011\n")});
    EXPECT_EQ(said.code, 0) << said.talk;
    EXPECT_THAT(said.talk, HasSubstr("1 new readings, 0 known already, 2 younger"));
}

TEST_F(Import, TakesARecordedLogByTheConfigurationsSensors) {
    const std::string config =
        file("gyled.toml",
             "[site]\nelevation_m = 0\n[[vessel]]\nid = \"north\"\ntotal_volume_l = 26\n"
             "[[sensor]]\nvessel = \"north\"\nmeasures = \"head_pressure\"\nid = \"head\"\n"
             "topic = \"cellar/north/pressure\"\nunit = \"kPa\"\nabsolute = true\n");
    const Said said = gyle({"import", "-c", config,
                            file("readings.log",
                                 "1769940000 cellar/north/pressure 151.325\n"
                                 "1769940060 cellar/north/pressure low\n"
                                 "1769940060 elsewhere 7\n"
                                 "garbage\n"
                                 "1769940120 cellar/north/pressure 161.325\n")});
    EXPECT_EQ(said.code, 1) << "two lines are bad";
    EXPECT_THAT(said.talk, AllOf(HasSubstr("line 2: head: "), HasSubstr("line 4: no line of a log")));
    const auto readings = imported();
    ASSERT_THAT(readings, SizeIs(2));
    EXPECT_NEAR(readings[0].value, 50.0, 1e-9) << "gauge, at sea level: ICAO's 101.325 kPa";
    EXPECT_FALSE(readings[0].absolute);

    EXPECT_THAT(gyle({"import", file("again.log", "1769940000 cellar/north/pressure 151\n")}).talk,
                HasSubstr("say with --config"));
}

TEST_F(Import, SaysWhereItStoppedAndGoesOnThere) {
    const std::string table = file("old.csv",
                                   "time,quantity,value\n"
                                   "2026-02-01T10:00:00Z,gravity,1.048\n"
                                   "2026-02-01T11:00:00Z,gravity,1.047\n");
    live.in_loop([this] { live.cellar.refusal = web::Problem{503, "Not stored", "The disk is full."}; });
    const Said said = gyle({"import", "--vessel", "north", table});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.talk, AllOf(HasSubstr("The disk is full."), HasSubstr("stopped behind line 0")));

    live.in_loop([this] { live.cellar.refusal.reset(); });
    EXPECT_EQ(gyle({"import", "--vessel", "north", table, "--from-line", "3"}).code, 0);
    ASSERT_THAT(imported(), SizeIs(1));
    EXPECT_DOUBLE_EQ(imported()[0].value, 1.047);
}

TEST_F(Import, RefusesWhatIsNoHistory) {
    EXPECT_THAT(gyle({"import", file("a.csv", "")}).talk, HasSubstr("holds nothing"));
    EXPECT_THAT(gyle({"import", file("b.csv", "when,what\n1,2\n")}).talk, HasSubstr("a column 'time'"));
    EXPECT_THAT(gyle({"import", file("c.csv", "time,quantity,value\n")}).talk, HasSubstr("--vessel"));
    EXPECT_THAT(gyle({"import", "--vessel", "west",
                      file("d.csv", "time,quantity,value\n2026-02-01T10:00:00Z,gravity,1.04\n")})
                    .talk,
                HasSubstr("No vessel is called 'west'"));
    EXPECT_THAT(gyle({"import", live.folder.file("nowhere.csv")}).talk, HasSubstr("cannot open"));
    EXPECT_THAT(imported(), IsEmpty());
}

}  // namespace
}  // namespace gyled::cli
