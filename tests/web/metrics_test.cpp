/// The metrics text, held to the format's own grammar and to what the cellar holds.

#include "daemon/web/metrics.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <vector>

#include "tests/web/live_server.hpp"

namespace gyled::web {
namespace {

struct Parsed {
    std::map<std::string, std::string> samples;  ///< "name{labels}" -> value as text
    std::map<std::string, std::string> types;
    std::vector<std::string> mistakes;
};

/// The text format 0.0.4: HELP and TYPE before a family's samples, each family in one block, no sample twice.
Parsed parse(const std::string& text) {
    static const std::regex head{R"(# (HELP|TYPE) ([a-zA-Z_:][a-zA-Z0-9_:]*) (.+))"};
    static const std::regex sample{
        R"(([a-zA-Z_:][a-zA-Z0-9_:]*)(\{([a-zA-Z_][a-zA-Z0-9_]*="([^"\\\n]|\\\\|\\"|\\n)*",?)+\})? (\+Inf|-Inf|NaN|-?[0-9.]+(e[+-]?[0-9]+)?))"};
    Parsed out;
    std::set<std::string> finished;
    std::string family, line;
    std::istringstream lines{text};
    while (std::getline(lines, line)) {
        std::smatch m;
        if (std::regex_match(line, m, head)) {
            if (m[1] == "TYPE") out.types[m[2]] = m[3];
            if (family != m[2] && !finished.insert(m[2]).second)
                out.mistakes.push_back("family twice: " + line);
            family = m[2];
        } else if (std::regex_match(line, m, sample)) {
            if (m[1] != family) out.mistakes.push_back("sample outside its family: " + line);
            if (!out.samples.emplace(m[1].str() + m[2].str(), m[5].str()).second)
                out.mistakes.push_back("sample twice: " + line);
        } else {
            out.mistakes.push_back("no sense in: " + line);
        }
    }
    if (!text.ends_with('\n')) out.mistakes.emplace_back("no line end at the end");
    return out;
}

TEST(Metrics, FollowTheFormat) {
    const Parsed metrics = parse(metrics_text(HarbourCellar{}));
    EXPECT_EQ(metrics.mistakes, std::vector<std::string>{});
    for (const auto& [name, type] : metrics.types)
        EXPECT_EQ(name.ends_with("_total"), type == "counter") << name;
}

TEST(Metrics, TellWhatTheCellarHolds) {
    HarbourCellar cellar;
    cellar.read("north", base::Quantity::gravity, 1.0125);

    const auto samples = parse(metrics_text(cellar)).samples;

    EXPECT_EQ(samples.at("gyled_build_info{version=\"" GYLED_VERSION "\"}"), "1");
    EXPECT_EQ(samples.at(R"(gyled_measured{vessel="north",quantity="gravity",unit="SG"})"), "1.0125");
    EXPECT_EQ(samples.at(R"(gyled_estimate_low{vessel="north",quantity="gravity_now",unit="SG"})"), "1.012");
    EXPECT_EQ(samples.at(R"(gyled_estimate{vessel="north",quantity="limit_time",unit="s"})"), "+Inf");
    EXPECT_EQ(samples.at(R"(gyled_readings_rejected_total{reason="impossible_jump"})"), "3");
    EXPECT_EQ(samples.at("gyled_messages_received_total"), "69176");
    EXPECT_EQ(samples.at("gyled_healthy"), "1");
    EXPECT_EQ(
        samples.at(
            R"(gyled_alarm_standing{vessel="south",rule="pressure_rising_to_limit",subject="",priority="critical"})"),
        "1");
    EXPECT_EQ(
        samples.at(
            R"(gyled_sensor_rejected_total{sensor="north_gravity",vessel="north",quantity="gravity",reason="out_of_range"})"),
        "1");
}

TEST(Metrics, CountWhatWasLostEachKindByItself) {
    const auto samples = parse(metrics_text(HarbourCellar{})).samples;

    EXPECT_EQ(samples.at("gyled_messages_oversized_total"), "2");
    EXPECT_EQ(samples.at("gyled_messages_unclaimed_total"), "3");
    EXPECT_EQ(samples.at("gyled_readings_dropped_total"), "5");
    EXPECT_EQ(samples.at("gyled_broker_sessions_lost_total"), "7");
    EXPECT_EQ(samples.at("gyled_publications_dropped_total"), "11");
    EXPECT_EQ(samples.at("gyled_spool_failures_total"), "13");
    EXPECT_EQ(samples.at("gyled_spool_torn_bytes_total"), "4096");
    EXPECT_EQ(samples.at("gyled_readings_unstored"), "17");
}

TEST(Metrics, CountEachKindOfImpairmentFromZero) {
    HarbourCellar cellar;
    cellar.be_calm();
    const auto calm = parse(metrics_text(cellar)).samples;
    EXPECT_EQ(calm.at(R"(gyled_impairment{name="broker_lost"})"), "0");
    EXPECT_EQ(calm.at(R"(gyled_impairment{name="sensor_silent"})"), "0");
    EXPECT_EQ(calm.at(R"(gyled_impairment{name="store_failing"})"), "0");

    cellar.impairments = {{"broker_lost", "", "x", cellar.clock}, {"made_up\"", "", "x", cellar.clock}};
    const Parsed metrics = parse(metrics_text(cellar));
    EXPECT_EQ(metrics.mistakes, std::vector<std::string>{});
    EXPECT_EQ(metrics.samples.at(R"(gyled_impairment{name="broker_lost"})"), "1");
    EXPECT_EQ(metrics.samples.at("gyled_healthy"), "0");
    for (const auto& [sample, value] : metrics.samples)
        EXPECT_EQ(sample.find("made_up"), std::string::npos) << "the set of names is bounded";
}

TEST(Metrics, SurviveNamesThatBreakTheFormat) {
    HarbourCellar cellar;
    cellar.sensor_health[0].rejected["quote\" back\\slash \n line \x01"] = 7;

    const Parsed metrics = parse(metrics_text(cellar));

    EXPECT_EQ(metrics.mistakes, std::vector<std::string>{});
    EXPECT_TRUE(metrics.samples.contains(
        R"(gyled_sensor_rejected_total{sensor="north_temperature",vessel="north",quantity="beer_temperature",reason="quote\" back\\slash \n line  "})"));
}

/// What README tells a person to be rung for, one expression a line.
std::vector<std::string> expressions_of_readme() {
    std::ifstream file{GYLED_SOURCE_DIR "/README.md"};
    std::vector<std::string> found;
    std::string line;
    while (std::getline(file, line) && line != "```promql") {
    }
    while (std::getline(file, line) && line != "```") found.push_back(line.substr(0, line.find('#')));
    return found;
}

TEST(Metrics, HaveWhatReadmeSaysMustBeWatched) {
    const auto types = parse(metrics_text(HarbourCellar{})).types;
    const std::regex name{"gyled_[a-z_]+"};
    std::set<std::string> named;
    for (const std::string& expression : expressions_of_readme())
        for (std::sregex_iterator m{expression.begin(), expression.end(), name}, end; m != end; ++m)
            named.insert(m->str());

    EXPECT_GE(named.size(), 7U);
    for (const std::string& one : named) EXPECT_TRUE(types.contains(one)) << one;
}

TEST(Metrics, PleaseTheScrapersOwnCheckAsRulesToo) {
    if (std::system("command -v promtool >/dev/null 2>&1") != 0) GTEST_SKIP() << "promtool is not installed";
    const ScratchFolder folder;
    std::ofstream rules{folder.file("rules.yml")};
    rules << "groups:\n  - name: gyled\n    rules:\n";
    for (const std::string& expression : expressions_of_readme())
        rules << "      - alert: Watch\n        expr: '" << expression << "'\n        labels: { n: '"
              << rules.tellp() << "' }\n";
    rules.close();
    EXPECT_EQ(std::system(("promtool check rules " + folder.file("rules.yml")).c_str()), 0);
}

TEST(Metrics, PleaseTheScrapersOwnCheck) {
    if (std::system("command -v promtool >/dev/null 2>&1") != 0) GTEST_SKIP() << "promtool is not installed";
    const ScratchFolder folder;
    std::ofstream{folder.file("metrics")} << metrics_text(HarbourCellar{});
    EXPECT_EQ(std::system(("promtool check metrics < " + folder.file("metrics")).c_str()), 0);
}

}  // namespace
}  // namespace gyled::web
