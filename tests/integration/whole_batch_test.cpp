/// A batch from strike to serve, lived through the virtual vessel at a rehearsal's pace, with the real
/// programs; the daemon dies in the mash and in the ferment.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <memory>
#include <thread>

#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using ::testing::HasSubstr;

constexpr const char* pace = "400,5.5h:20000@";  // 50 s for the brew day, 2 min for the four weeks after it

/// What a brewer adds to the vessel's plan: where each stage ends, and an addition.
std::string with_ends(const std::string& planned) {
    const std::map<std::string, std::string> ends{
        {"strike", "end = { when = \"temperature_reached\", temperature_c = 68.0 }\n"},
        {"mash", "end = { when = \"time_in_band\", duration = \"50min\" }\n"},
        {"boil",
         "end = { when = \"time_in_band\", duration = \"50min\" }\n"
         "additions = [{ what = \"finings\", before_end = \"15min\" }]\n"},
        {"ferment", "end = { when = \"terminal_gravity\" }\n"},
        {"carbonate", "end = { when = \"carbonated\" }\n"}};
    std::ifstream in{planned};
    std::string out, kind;
    for (std::string line; std::getline(in, line);) {
        out += line + "\n";
        if (line.starts_with("kind = ")) kind = line.substr(8, line.size() - 9);
        if (line.starts_with("head_space = ") && ends.contains(kind)) out += ends.at(kind);
    }
    return out;
}

std::string with_patience(const std::string& config) {
    std::string out = config;
    for (std::size_t at = 0; (at = out.find("time = \"/ts\"\n", at)) != out.npos; at += 13)
        out.insert(at + 13, "silent_after = \"24h\"\n");  // at such a pace a second is hours
    return out;
}

class WholeBatch : public ::testing::Test {
protected:
    void begin() {
        const std::string file = house.path("gyled.toml");
        std::ifstream in{file};
        const std::string config{std::istreambuf_iterator<char>{in}, {}};
        std::ofstream{file, std::ios::trunc} << with_patience(config);
        house.edit_config("total_volume_l = 26.0", "total_volume_l = 35.0");
        rehearsal = pace + base::to_rfc3339(std::chrono::time_point_cast<base::Duration>(
                               std::chrono::floor<std::chrono::seconds>(wall_clock())));
        start();
        const std::string planned = house.path("planned.toml"), batch = house.path("batch.toml");
        ASSERT_EQ(run({GYLE_VESSEL, "--scenario", "whole-batch", "--topic-prefix", "cellar/north",
                       "--rehearsal", rehearsal, "--batch-file", planned},
                      house.path("files.out"))
                      .code,
                  0);
        std::ofstream{batch} << with_ends(planned);
        const Ran started = house.gyle({"batch", "start", "--confirm", batch});
        ASSERT_EQ(started.code, 0) << started.said;
        vessel = std::make_unique<Process>(
            std::vector<std::string>{GYLE_VESSEL, "--scenario", "whole-batch", "--topic-prefix",
                                     "cellar/north", "--rehearsal", rehearsal, "--broker",
                                     house.broker.url()},
            house.path("vessel.out"));
    }
    void start() { house.start_daemon({"/bin/sh", "-c", "exec \"$@\" --rehearsal " + rehearsal, "sh"}); }
    [[nodiscard]] Json batch() const {
        const Json vessel_now = house.get("/api/vessels/north");
        return vessel_now.is_object() ? vessel_now.value("batch", Json{}) : Json{};
    }
    /// Asks a few times a second, for the programs need the machine.
    template <class Claim>
    [[nodiscard]] static bool comes(Claim claim, std::chrono::seconds patience) {
        return testing::eventually(
            [&] {
                std::this_thread::sleep_for(50ms);
                return claim();
            },
            patience);
    }
    [[nodiscard]] bool reaches(const std::string& kind, std::chrono::seconds patience) const {
        return comes(
            [&] {
                const Json now = batch();
                return now.is_object() &&
                       now["stages"][now["stage_index"].get<std::size_t>()]["kind"] == kind;
            },
            patience);
    }
    [[nodiscard]] std::size_t heard(const std::string& words) const {
        const auto all = house.phone.heard();
        return static_cast<std::size_t>(std::count_if(all.begin(), all.end(), [&](const notify::Heard& one) {
            return one.body.find(words) != std::string::npos;
        }));
    }
    [[nodiscard]] bool holds(const std::string& fact) const {
        const Json vessel_now = house.get("/api/vessels/north");
        const Json facts = vessel_now.value("facts", Json::array());
        return std::any_of(facts.begin(), facts.end(),
                           [&](const Json& one) { return one["fact"] == fact && !one["revoked"]; });
    }

    House house;
    std::string rehearsal;
    std::unique_ptr<Process> vessel;
};

TEST_F(WholeBatch, IsLivedFromStrikeToServeThoughTheDaemonDiesTwice) {
    begin();
    ASSERT_TRUE(reaches("mash", 60s)) << house.daemon_log();
    EXPECT_EQ(heard("Strike stage: 68.0"), 1u) << "told when it was reached";
    EXPECT_GE(heard("Strike ready"), 1u) << "and ten minutes before";

    std::this_thread::sleep_for(4s);  // some 25 minutes of the rest
    house.kill_daemon();
    start();
    ASSERT_TRUE(reaches("boil", 60s));
    EXPECT_EQ(heard("Mash stage: 50 min in the band"), 1u)
        << "the minutes before the death counted, and once";
    EXPECT_GE(heard("Mash rest: "), 1u);

    ASSERT_TRUE(reaches("ferment", 90s));
    EXPECT_EQ(heard("Add now: finings"), 1u);
    EXPECT_EQ(heard("Boil stage: 50 min in the band"), 1u);
    ASSERT_TRUE(comes([&] { return holds("fermentation_started"); }, 60s));
    house.kill_daemon();
    start();

    ASSERT_TRUE(reaches("carbonate", 150s));
    EXPECT_TRUE(holds("fermentation_finished"));
    EXPECT_EQ(heard("Ferment stage: terminal gravity reached"), 1u);
    ASSERT_TRUE(reaches("serve", 150s));

    const Json now = house.get("/api/vessels/north");
    std::vector<std::string> kinds;
    for (const Json& entered : now["batch"]["entered"]) kinds.push_back(entered["kind"]);
    EXPECT_EQ(kinds, (std::vector<std::string>{"strike", "mash", "mash_out", "boil", "chill", "ferment",
                                               "crash", "carbonate", "serve"}));
    EXPECT_EQ(heard("critical"), 0u);
    // The vessel's own truth: what its plant holds where the plan ends. CO2 on a regulator is told 0.14 to
    // 0.19 volumes high here (DEVELOPERS.md), so 0.4 is allowed.
    const std::string truth = house.path("truth.jsonl");
    ASSERT_EQ(run({GYLE_VESSEL, "--scenario", "whole-batch", "--rehearsal", rehearsal, "--truth-file", truth},
                  house.path("truth.out"))
                  .code,
              0);
    std::ifstream in{truth};
    Json there;
    for (std::string line; std::getline(in, line);) {
        const Json one = Json::parse(line);
        if (one["time"].get<std::string>() <= now["at"].get<std::string>()) there = one;
    }
    EXPECT_NEAR(now["estimates"]["gravity_now"]["value"].get<double>(), there["sg"].get<double>(), 0.002);
    EXPECT_NEAR(now["estimates"]["co2_volumes"]["value"].get<double>(), there["co2_volumes"].get<double>(),
                0.4);
}

}  // namespace
}  // namespace gyled::integration
