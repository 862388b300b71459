#include "daemon/cli/replay.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <zlib.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/cli/log_lines.hpp"
#include "daemon/cli/log_place.hpp"

namespace gyled::cli {
namespace {

using namespace std::chrono_literals;
using ::testing::HasSubstr;
using Json = nlohmann::json;

constexpr const char* config_text = R"(
[[vessel]]
id = "north"
total_volume_l = 26.0
relief_pressure_kpa = 180
[[sensor]]
vessel = "north"
measures = "gravity"
topic = "cellar/north/gravity"
[[sensor]]
vessel = "north"
measures = "beer_temperature"
topic = "cellar/north/beer_temperature"
[[sensor]]
vessel = "north"
measures = "head_pressure"
topic = "cellar/north/head_pressure"
)";

constexpr const char* batch_text = R"(
name = "Harbour Mild"
vessel = "north"
volume_l = 21.0
original_gravity = 1.040
expected_final_gravity = 1.010
[[stage]]
kind = "ferment"
start = 2026-03-01T18:00:00Z
temperature_c = [18.0, 21.0]
)";

class Replay : public ::testing::Test {
protected:
    Replay()
        : folder_{std::filesystem::temp_directory_path() / ("gyled-replay-" + std::to_string(getpid()))} {
        std::filesystem::create_directories(folder_);
    }
    ~Replay() override { std::filesystem::remove_all(folder_); }

    static std::string two_days() {
        std::ostringstream log;
        log.precision(10);
        for (int minute = 0; minute < 48 * 60; minute += 5) {
            const long long t = 1772388000LL + minute * 60;
            const double hours = minute / 60.0;
            log << t << " cellar/north/beer_temperature 19.5\n"
                << t << " cellar/north/gravity " << 1.010 + 0.030 / (1 + std::exp((hours - 24) / 6)) << '\n'
                << t << " cellar/north/head_pressure 0.4\n";
        }
        return log.str();
    }

    std::string file(const std::string& name, const std::string& content) const {
        const std::string path = (folder_ / name).string();
        std::ofstream{path, std::ios::binary} << content;
        return path;
    }

    std::vector<Json> run(const std::string& log, base::Duration every = 15min) {
        const auto config = config::parse_config(config_text, "gyled.toml");
        const auto plan = config::parse_batch(batch_text, "batch.toml");
        EXPECT_TRUE(config.has_value() && plan.has_value());
        std::ostringstream out;
        code = replay(*config, &*plan, {log, true, every}, out, talk);
        std::vector<Json> lines;
        std::istringstream in{out.str()};
        for (std::string line; std::getline(in, line);) lines.push_back(Json::parse(line));
        return lines;
    }

    std::filesystem::path folder_;
    std::ostringstream talk;
    int code = -1;
};

TEST_F(Replay, TellsWhatWasBelievedEachQuarterOfAnHourAndSumsUp) {
    const auto lines = run(file("a.log", two_days()));

    EXPECT_EQ(code, 0) << talk.str();
    ASSERT_GT(lines.size(), 150u);
    std::string last_time;
    for (const Json& line : lines)
        if (line.at("kind") == "estimate") {
            const std::string time = line.at("time");
            EXPECT_GT(time, last_time);
            EXPECT_EQ(line.at("vessel"), "north");
            EXPECT_EQ(line.at("stage"), "ferment");
            last_time = time;
            for (const auto& [name, estimate] : line.at("estimates").items()) {
                EXPECT_TRUE(base::quantity_named(name).has_value()) << name;
                EXPECT_TRUE(estimate.contains("value") && estimate.contains("low") &&
                            estimate.contains("high"));
            }
        }
    const Json& summary = lines.back();
    EXPECT_EQ(summary.at("kind"), "summary");
    EXPECT_EQ(summary.at("readings"), 3 * 48 * 12);
    EXPECT_TRUE(summary.at("rejected").empty());
    const auto begun = std::find_if(lines.begin(), lines.end(), [](const Json& line) {
        return line.at("kind") == "fact" && line.at("fact") == "fermentation_started" &&
               line.at("revoked") == false;
    });
    EXPECT_NE(begun, lines.end());
}

TEST_F(Replay, TellsWhatIsBelievedInBetweenToo) {
    for (const base::Duration every : {1min, 16min, 20min}) {
        base::Timestamp last{};
        std::size_t told = 0;
        for (const Json& line : run(file("a.log", two_days()), every)) {
            if (line.at("kind") != "estimate") continue;
            const auto at = base::from_rfc3339(line.at("time").get<std::string>()).value();
            EXPECT_EQ(at.time_since_epoch() % every, base::Duration{0});
            if (told > 0) {
                EXPECT_EQ(at - last, every) << line;
            }
            last = at;
            ++told;
        }
        EXPECT_NEAR(static_cast<double>(told), static_cast<double>(48h / every), 5);
    }
}

TEST_F(Replay, MomentsAreWrittenAsMoments) {
    for (const Json& line : run(file("a.log", two_days())))
        if (line.at("kind") == "estimate" && line.at("estimates").contains("finish_time")) {
            const Json& finish = line.at("estimates").at("finish_time");
            EXPECT_TRUE(base::from_rfc3339(finish.at("value").get<std::string>()).has_value());
            return;
        }
    FAIL() << "a finish was never foretold";
}

TEST_F(Replay, ReadsGzippedLogsAlike) {
    const std::string plain = two_days();
    const std::string path = (folder_ / "a.log.gz").string();
    gzFile packed = gzopen(path.c_str(), "wb");
    gzwrite(packed, plain.data(), static_cast<unsigned>(plain.size()));
    gzclose(packed);

    auto from_packed = run(path), from_plain = run(file("a.log", plain));

    from_packed.back().erase("wall_seconds");
    from_plain.back().erase("wall_seconds");
    EXPECT_EQ(from_packed, from_plain);
}

TEST_F(Replay, CountsNonsenseByReasonAndLosesNothing) {
    std::string log = "not a line\n\xff\xfe\n12 \n\n1772388000\nNaN cellar/north/gravity 1.04\n";
    log += "1772388001 cellar/north/gravity warm\n1772388002 somewhere/else 1\n";
    log += "99999999999999 cellar/north/gravity 1.04\n";
    const auto lines = run(file("a.log", log + two_days()));

    const Json& summary = lines.back();
    EXPECT_EQ(code, 0);
    EXPECT_EQ(summary.at("readings"), 3 * 48 * 12);
    EXPECT_EQ(summary.at("rejected").at("not_a_log_line"), 6);
    EXPECT_EQ(summary.at("rejected").at("unclaimed_topic"), 1);
    EXPECT_EQ(summary.at("rejected").at("not_a_number"), 1);
}

/// A line in the year 2200 carried the core there: it took minutes, and all that came after was old news.
TEST_F(Replay, LeavesOutAWildTimeAndSaysWhere) {
    const std::string sane = two_days();
    const std::size_t half = sane.find('\n', sane.size() / 2) + 1;
    const std::string wild = "7258118400 cellar/north/gravity 1.04\n";  // 2200-01-01
    const auto before = std::count(sane.begin(), sane.begin() + static_cast<std::ptrdiff_t>(half), '\n');

    const auto lines = run(
        file("a.log", "# two days\n" + wild + sane.substr(0, half) + wild + wild + sane.substr(half) + wild));

    auto expected = run(file("b.log", sane)), got = lines;
    EXPECT_EQ(code, 0);
    EXPECT_EQ(got.back().at("rejected"), (Json{{"time_out_of_place", 4}}));
    EXPECT_THAT(talk.str(), HasSubstr("line 2: 2200-01-01T00:00:00Z"));
    EXPECT_THAT(talk.str(), HasSubstr("line " + std::to_string(before + 3) + ":"));
    expected.pop_back();
    got.pop_back();
    EXPECT_EQ(got, expected) << "and the rest is as if it had not been there";
}

TEST(LogPlaces, ALogMayGoOnYearsLater) {
    LogPlace place;
    std::deque<LogLine> log;
    for (const char* year : {"2026-03-01T00:00:00Z", "2029-03-01T00:00:00Z"})
        for (std::size_t line = 0; line < 2 * LogPlace::neighbours; ++line)
            log.push_back({0, {"t", "1", *base::from_rfc3339(year) + line * 1min, false}});

    for (; !log.empty(); log.pop_front()) {
        const auto seen = std::min(log.size(), LogPlace::neighbours + 1);
        EXPECT_TRUE(place.take({log.begin(), log.begin() + static_cast<std::ptrdiff_t>(seen)}));
    }
}

/// The middle one of lines that lie anywhere is near the median, for it is the median.
TEST(LogPlaces, WhereNoLineAgreesWithAnotherNoneIsBelieved) {
    LogPlace place;
    std::deque<LogLine> ahead;
    for (const int year : {50, 10, 90, 30, 70, 20, 80, 40, 60, 0, 100})
        ahead.push_back({0, {"t", "1", base::Timestamp{} + year * 365 * 24h, false}});

    EXPECT_FALSE(place.take(ahead));
}

TEST(LogPlaces, OfTwoLinesFarApartTheEarlierIsBelieved) {
    const LogLine now{1, {"t", "1", *base::from_rfc3339("2026-03-01T00:00:00Z"), false}};
    const LogLine wild{2, {"t", "1", *base::from_rfc3339("2200-01-01T00:00:00Z"), false}};

    LogPlace place, reversed;
    EXPECT_TRUE(place.take({now, wild}));
    EXPECT_FALSE(place.take({wild}));
    EXPECT_FALSE(reversed.take({wild, now}));
    EXPECT_TRUE(reversed.take({now}));
}

TEST_F(Replay, SaysWhenTheLogCannotBeRead) {
    (void)run((folder_ / "missing.log").string());

    EXPECT_EQ(code, 1);
    EXPECT_THAT(talk.str(), HasSubstr("missing.log"));
}

TEST_F(Replay, TellsEachHourWhenAsked) {
    for (const Json& line : run(file("a.log", two_days()), 1h))
        if (line.at("kind") == "estimate") {
            EXPECT_EQ(line.at("time").get<std::string>().substr(14), "00:00Z");
        }
}

TEST(LogLine, IsSecondsTopicAndPayload) {
    const auto message = parse_log_line("1772388000.25 cellar/north/gravity {\"sg\": 1.04}");
    ASSERT_TRUE(message.has_value());
    EXPECT_EQ(message->topic, "cellar/north/gravity");
    EXPECT_EQ(message->payload, "{\"sg\": 1.04}");
    EXPECT_EQ(base::unix_seconds(message->arrived), 1772388000.25);
    EXPECT_EQ(parse_log_line("1772388000 a")->payload, "");
    for (const char* nonsense : {"", " ", "x", "1772388000", "1772388000 ", "1e300 a b", "inf a b", " 1 a b"})
        EXPECT_FALSE(parse_log_line(nonsense).has_value()) << nonsense;
}

TEST_F(Replay, ALogThatGoesOnThirtyYearsLaterCostsNoMoreThanAMonth) {
    std::string log = two_days();
    std::istringstream first{log};
    for (std::string line; std::getline(first, line);) {
        constexpr long long thirty_years_s = 30LL * 365 * 24 * 3600;
        const auto space = line.find(' ');
        log += std::to_string(std::stoll(line.substr(0, space)) + thirty_years_s) + line.substr(space) + "\n";
    }
    const auto lines = run(file("later.log", log), 24h);

    EXPECT_EQ(code, 0) << talk.str();
    EXPECT_LT(lines.size(), 1'000u) << "a line a day of a month, and not of thirty years";
    EXPECT_EQ(lines.back().at("readings"), 2 * 3 * 48 * 12);
}

TEST_F(Replay, ALogInStepsOfAYearEndsWithinSeconds) {
    std::ostringstream log;
    log << two_days();
    long long t = 1772388000LL + 48 * 3600;
    for (int step = 0; step < 200; ++step)
        log << (t += 399LL * 24 * 3600) << " cellar/north/beer_temperature 19.5\n";

    const auto began = std::chrono::steady_clock::now();
    const auto lines = run(file("steps.log", log.str()), 24h);
    EXPECT_EQ(lines.back().at("readings"), 3 * 48 * 12 + 200) << talk.str();
    EXPECT_LT(std::chrono::steady_clock::now() - began, 60s)
        << "4 minutes, when each step was lived for a month";
}

}  // namespace
}  // namespace gyled::cli
