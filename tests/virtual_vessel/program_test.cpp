#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <fstream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/base/time.hpp"
#include "daemon/config/config.hpp"
#include "sensors/virtual_vessel/plant/plant.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "tests/virtual_vessel/process.hpp"

namespace gyled::virtual_vessel {
namespace {

using namespace std::chrono_literals;
using testing::TempDir;

Finished vessel(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), GYLE_VESSEL);
    return run(arguments);
}

struct Line {
    double seconds = 0;
    std::string topic;
    nlohmann::json payload;
};

std::vector<Line> lines_of(const std::string& log) {
    std::vector<Line> out;
    std::istringstream in{log};
    for (std::string text; std::getline(in, text);) {
        Line line;
        std::istringstream words{text};
        std::string payload;
        words >> line.seconds >> line.topic >> std::ws;
        std::getline(words, payload);
        line.payload = nlohmann::json::parse(payload, nullptr, false);
        EXPECT_FALSE(line.payload.is_discarded()) << text;
        out.push_back(std::move(line));
    }
    return out;
}

std::string content(const std::string& path) {
    std::ifstream file{path};
    return {std::istreambuf_iterator<char>{file}, {}};
}

TEST(Program, LogHoldsABatchThatFerments) {
    const Finished done = vessel({"--log", "-", "--scenario", "ale", "--seed", "3", "--for", "12d"});
    ASSERT_EQ(done.exit_code, 0) << done.err;
    const std::vector<Line> lines = lines_of(done.out);
    ASSERT_GT(lines.size(), 3u * 12 * 1440);

    std::map<std::string, int> topics;
    double last = 0;
    double first_sg = 0;
    double last_sg = 0;
    for (const Line& line : lines) {
        ++topics[line.topic];
        ASSERT_GE(line.seconds, last);
        last = line.seconds;
        const auto taken = base::from_rfc3339(line.payload.at("ts").get<std::string>());
        ASSERT_TRUE(taken);
        EXPECT_EQ(base::unix_seconds(*taken), line.seconds);
        if (line.topic != "cellar/north/gravity") continue;
        last_sg = line.payload.at("sg").get<double>();
        if (first_sg == 0) first_sg = last_sg;
    }
    EXPECT_EQ(topics.size(), 5u);
    EXPECT_EQ(topics["cellar/north/beer_temperature"], 12 * 1440 + 1);
    EXPECT_EQ(topics["cellar/north/gravity"], 12 * 96 + 1);
    EXPECT_NEAR(first_sg, ale(3).original_gravity, 0.004);
    EXPECT_NEAR(last_sg, Plant{ale(3)}.truth().terminal_sg, 0.004);
}

TEST(Program, SameSeedSameLog) {
    const std::vector<std::string> words{"--log", "-",  "--scenario", "outliers",
                                         "--for", "1d", "--seed",     "9"};
    EXPECT_EQ(vessel(words).out, vessel(words).out);
    EXPECT_NE(vessel(words).out,
              vessel({"--log", "-", "--scenario", "outliers", "--for", "1d", "--seed", "10"}).out);
}

TEST(Program, ChosenSensorsCadenceAndPrefix) {
    const Finished done =
        vessel({"--log", "-", "--sensors", "head_pressure,barometric_pressure", "--cadence", "30s", "--for",
                "1h", "--topic-prefix", "barn/south", "--elevation", "1500"});
    ASSERT_EQ(done.exit_code, 0) << done.err;
    const std::vector<Line> lines = lines_of(done.out);
    EXPECT_EQ(lines.size(), 2u * 121);
    for (const Line& line : lines) {
        ASSERT_TRUE(line.topic == "barn/south/head_pressure" ||
                    line.topic == "barn/south/barometric_pressure");
        // 84.56 kPa at 1500 m: standard atmosphere.
        if (line.topic.ends_with("barometric_pressure")) {
            EXPECT_NEAR(line.payload.at("kpa").get<double>(), 84.56, 1.0);
        }
    }
}

TEST(Program, TroubleComesWhenItIsAskedFor) {
    const std::vector<std::string> common{"--log", "-", "--for", "5d", "--sensors", "gravity,head_pressure"};
    auto with = [&](const std::string& trouble) {
        std::vector<std::string> words = common;
        words.insert(words.end(), {"--trouble", trouble});
        const Finished done = vessel(words);
        EXPECT_EQ(done.exit_code, 0) << done.err;
        return lines_of(done.out);
    };
    const auto silent = with("sensor-dropout@2d,for=1d,sensor=gravity");
    const auto gravity = [](const Line& l) { return l.topic.ends_with("/gravity"); };
    EXPECT_EQ(std::ranges::count_if(silent, gravity), 4 * 96 + 1);

    double highest = 0;
    for (const Line& line : with("shut-vent@1d"))
        if (!gravity(line)) highest = std::max(highest, line.payload.at("kpa").get<double>());
    EXPECT_GT(highest, 175);
    EXPECT_LT(highest, 200);
}

TEST(Program, WritesTheFilesThatBelongToIt) {
    const std::string at = TempDir() + "vessel_files_" + std::to_string(::getpid());
    const Finished done =
        vessel({"--batch-file", at + ".batch", "--config-file", at + ".config", "--truth-file", at + ".truth",
                "--log", at + ".log", "--scenario", "lager", "--for", "3d"});
    ASSERT_EQ(done.exit_code, 0) << done.err;
    EXPECT_TRUE(done.out.empty());

    EXPECT_TRUE(config::load_config(at + ".config"));
    const auto plan = config::load_batch(at + ".batch");
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->stages.size(), 3u);
    EXPECT_EQ(plan->original_gravity, lager(1).original_gravity);
    const std::string batch = content(at + ".batch");
    for (const char* line : {"name = \"Quayside Lager\"", "vessel = \"north\"", "culture = \"lager\"",
                             "kind = \"rest\"", "start = 2026-03-01T18:00:00Z", "head_space = \"vented\""})
        EXPECT_NE(batch.find(line), std::string::npos) << line;
    const std::string config = content(at + ".config");
    for (const char* line :
         {"topic = \"cellar/north/gravity\"", "pointer = \"/sg\"", "total_volume_l = 26.0"})
        EXPECT_NE(config.find(line), std::string::npos) << line;
    std::istringstream truth{content(at + ".truth")};
    int count = 0;
    for (std::string line; std::getline(truth, line); ++count)
        EXPECT_GT(nlohmann::json::parse(line).at("sg").get<double>(), 1.0);
    EXPECT_EQ(count, 3 * 96 + 1);
    for (const char* end : {".batch", ".config", ".truth", ".log"}) ::unlink((at + end).c_str());
}

TEST(Program, TheDaemonUnderstandsTheFilesOfEveryScenario) {
    const std::string at = TempDir() + "vessel_every_" + std::to_string(::getpid());
    for (const NamedScenario& named : all_scenarios()) {
        const Finished done = vessel({"--scenario", std::string{named.name}, "--batch-file", at + ".batch",
                                      "--config-file", at + ".config", "--topic-prefix", "odd \"prefix\""});
        EXPECT_EQ(done.exit_code, 2);  // a topic with a blank would break the log's lines
        ASSERT_EQ(vessel({"--scenario", std::string{named.name}, "--batch-file", at + ".batch",
                          "--config-file", at + ".config", "--topic-prefix", "odd\"\\prefix/south"})
                      .exit_code,
                  0);
        const auto config = config::load_config(at + ".config");
        ASSERT_TRUE(config) << named.name << ": " << config.error().front().text();
        EXPECT_TRUE(config->sensors.front().topic.starts_with("odd\"\\prefix/south/"));
        EXPECT_EQ(config->vessels.front().id, "south");
        const auto plan = config::load_batch(at + ".batch");
        ASSERT_TRUE(plan) << named.name << ": " << plan.error().front().text();
        EXPECT_EQ(plan->stages.size(), named.make(1).stages.size());
    }
    ::unlink((at + ".batch").c_str());
    ::unlink((at + ".config").c_str());
}

TEST(Program, ListsScenariosAndHelps) {
    const Finished list = vessel({"--list-scenarios"});
    EXPECT_EQ(list.exit_code, 0);
    for (const NamedScenario& named : all_scenarios())
        EXPECT_NE(list.out.find(named.name), std::string::npos);
    const Finished help = vessel({"--help"});
    EXPECT_EQ(help.exit_code, 0);
    EXPECT_NE(help.out.find("Examples:"), std::string::npos);
}

TEST(Program, WrongUsageIsTwoAndSaysWhatIsWrong) {
    struct Case {
        std::vector<std::string> words;
        const char* says;
    };
    for (const Case& c : {
             Case{{}, "--broker"},
             Case{{"--log", "-", "--scenario", "lemonade"}, "lemonade"},
             Case{{"--log", "-", "--for", "yesterday"}, "yesterday"},
             Case{{"--log", "-", "--for", "-1d"}, "--for"},
             Case{{"--log", "-", "--backfill", "2d"}, "--backfill"},
             Case{{"--log", "-", "--trouble", "earthquake"}, "earthquake"},
             Case{{"--log", "-", "--sensors", "mood"}, "mood"},
             Case{{"--log", "-", "--cadence", "0"}, "must read"},
             Case{{"--log", "-", "--og", "7"}, "original gravity"},
             Case{{"--log", "-", "--seed", "many"}, "seed"},
             Case{{"--log", "-", "--speed", "0"}, "--speed"},
             Case{{"--log", "-", "--begin", "noon"}, "noon"},
             Case{{"--log", "-", "--topic-prefix", "a/#"}, "topic"},
             Case{{"--log", "-", "--topic-prefix", "a b"}, "topic"},
             Case{{"--log", "-", "--broker", "mqtt://127.0.0.1:1"}, "--log"},
             Case{{"--broker", "127.0.0.1"}, "mqtt://"},
             Case{{"--frobnicate"}, "--frobnicate"},
         }) {
        const Finished done = vessel(c.words);
        EXPECT_EQ(done.exit_code, 2) << c.says;
        EXPECT_NE(done.err.find(c.says), std::string::npos) << done.err;
        EXPECT_TRUE(done.out.empty());
    }
}

TEST(Program, FailureIsOneAndSaysWhy) {
    const Finished nowhere = vessel({"--log", "/no/such/folder/log"});
    EXPECT_EQ(nowhere.exit_code, 1);
    EXPECT_NE(nowhere.err.find("No such file"), std::string::npos);
    EXPECT_EQ(vessel({"--log", "/dev/full", "--for", "1d"}).exit_code, 1);
    const Finished unreachable = vessel({"--broker", "mqtt://127.0.0.1:1"});
    EXPECT_EQ(unreachable.exit_code, 1);
    EXPECT_NE(unreachable.err.find("mqtt://127.0.0.1:1"), std::string::npos);
}

/// A broker of our own on the loopback.
class WithBroker : public testing::Test {
protected:
    void SetUp() override {
        std::ofstream{config_} << "listener " << port_
                               << " 127.0.0.1\nallow_anonymous true\nmax_queued_messages 0\n";
        broker_ = std::make_unique<Background>(std::vector<std::string>{"mosquitto", "-c", config_});
        for (int i = 0; i < 500; ++i)
            if (publish("test/hello", "there").exit_code == 0) return;
        GTEST_SKIP() << "no mosquitto on this machine";
    }
    void TearDown() override { ::unlink(config_.c_str()); }

    Finished publish(const std::string& topic, const std::string& text) const {
        return run({"mosquitto_pub", "-p", std::to_string(port_), "-t", topic, "-m", text, "-q", "1"});
    }
    /// From now on the broker keeps what comes on `topic` for `listener`.
    void subscribe(const std::string& listener, const std::string& topic) const {
        EXPECT_EQ(run(as(listener, topic, {"-E"})).exit_code, 0);
    }
    /// The next `count` messages kept for `listener`; fewer when they take longer than half a minute.
    [[nodiscard]] std::string collect(const std::string& listener, const std::string& topic,
                                      int count) const {
        return run(as(listener, topic, {"-C", std::to_string(count), "-W", "30", "-F", "%U %t %p"})).out;
    }
    [[nodiscard]] std::vector<std::string> as(const std::string& listener, const std::string& topic,
                                              const std::vector<std::string>& more) const {
        std::vector<std::string> words{
            "mosquitto_sub", "-p", std::to_string(port_), "-i", listener, "-c", "-q", "1", "-t", topic};
        words.insert(words.end(), more.begin(), more.end());
        return words;
    }
    [[nodiscard]] std::string url() const { return "mqtt://127.0.0.1:" + std::to_string(port_); }

    const int port_ = free_port();
    const std::string config_ = TempDir() + "vessel_broker_" + std::to_string(::getpid()) + ".conf";
    std::unique_ptr<Background> broker_;
};

TEST_F(WithBroker, TwelveDaysOfHistoryArriveWholeInOrderAndSoon) {
    constexpr int expected = 3 * (12 * 1440 + 1);
    subscribe("keeper", "cellar/north/+");
    const auto start = std::chrono::steady_clock::now();
    const Finished done = vessel({"--broker", url(), "--backfill", "12d", "--cadence", "1min", "--sensors",
                                  "gravity,beer_temperature,head_pressure", "--for", "0"});
    EXPECT_EQ(done.exit_code, 0) << done.err;
    EXPECT_LT(std::chrono::steady_clock::now() - start, 45s);

    const std::vector<Line> lines = lines_of(collect("keeper", "cellar/north/+", expected));
    ASSERT_EQ(lines.size(), static_cast<std::size_t>(expected));
    std::map<std::string, std::string> last;
    for (const Line& line : lines) {
        const auto taken = line.payload.at("ts").get<std::string>();
        ASSERT_LT(last[line.topic], taken);
        last[line.topic] = taken;
    }
}

TEST_F(WithBroker, ObeysTroubleByMessageAnswersAndStopsWhenAsked) {
    const std::string readings = "cellar/north/head_pressure";
    const std::string answers = "cellar/north/trouble/answer";
    subscribe("watcher", readings);
    subscribe("keeper", answers);
    Background sender{{GYLE_VESSEL, "--broker", url(), "--scenario", "set-and-wait", "--backfill", "1h"}};
    ASSERT_FALSE(collect("watcher", readings, 1).empty());  // it listens before it speaks

    for (const char* text : {"leak,amount=5", "end leak", "gibberish", ""})
        publish("cellar/north/trouble", text);

    const std::string heard = collect("keeper", answers, 4);
    EXPECT_NE(heard.find("started: leak,amount=5"), std::string::npos) << heard;
    EXPECT_NE(heard.find("ended: leak"), std::string::npos) << heard;
    EXPECT_NE(heard.find("no trouble 'gibberish'"), std::string::npos) << heard;
    EXPECT_NE(heard.find("no trouble ''"), std::string::npos) << heard;
    sender.signal(SIGTERM);
    EXPECT_EQ(sender.wait_for(10s), 0);
}

}  // namespace
}  // namespace gyled::virtual_vessel
