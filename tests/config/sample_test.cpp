/// The samples are the manual: they parse, and they say everything.

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>

#include "daemon/config/config.hpp"
#include "sensors/intake.hpp"

namespace gyled::config {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

const fs::path source_dir{GYLED_SOURCE_DIR};

std::string content(const fs::path& path) {
    std::ifstream file{path, std::ios::binary};
    EXPECT_TRUE(file) << path;
    return {std::istreambuf_iterator<char>{file}, {}};
}

std::string told(const Mistakes& mistakes) {
    std::string all;
    for (const Mistake& mistake : mistakes) all += mistake.text() + '\n' + mistake.excerpt + '\n';
    return all;
}

TEST(Sample, ParsesAndMeansWhatItSays) {
    const auto config = load_config((source_dir / "config/gyled.toml").string());
    ASSERT_TRUE(config) << told(config.error());

    EXPECT_EQ(config->broker.session_expiry, 24h * 7);
    EXPECT_EQ(config->site.name, "Harbour cellar");
    EXPECT_EQ(config->site.display.time_zone, "Europe/Lisbon");
    EXPECT_EQ(config->storage.spool, "/var/lib/gyled/gyled.db.spool");
    ASSERT_EQ(config->vessels.size(), 2U);
    EXPECT_EQ(config->vessels[0].id, "north");
    EXPECT_EQ(config->vessels[0].lowest_limit_kpa(), 180);
    EXPECT_EQ(config->vessels[1].name, "South vessel");
    ASSERT_EQ(config->sensors.size(), 11U);
    EXPECT_EQ(config->sensors[0].id, "north-float");
    EXPECT_EQ(config->sensors[0].silent_after, 3h);
    EXPECT_EQ(config->sensors[0].calibration.table.size(), 3U);
    EXPECT_EQ(config->sensors[1].id, "north-beer_temperature");
    EXPECT_EQ(config->sensors[2].calibration.element, sensors::Calibration::Element::ratiometric);
    EXPECT_FALSE(config->sensors[1].silent_after) << "not given: from its cadence";
    EXPECT_EQ(config->sensors[4].calibration.polynomial.size(), 3U);
    EXPECT_TRUE(config->sensors[5].calibration.on_raw);
    ASSERT_EQ(config->alarms.size(), 2U);
    EXPECT_EQ(config->alarms[0].on_delay, 30min);
    EXPECT_EQ(config->alarms[1].below, 11.8);
    ASSERT_EQ(config->messengers.size(), 3U);
    EXPECT_EQ(config->messengers[1].headers.at(0).first, "X-Cellar");
    EXPECT_EQ(config->web.listen, "127.0.0.1:8075");
}

/// The pressure between two depths is rho g h. Water of 20 degC has 998.207 kg/m3 (CRC Handbook, from
/// memory), g is 9.80665 m/s2, h 0.4 m; SG 20/20 is the density over that of water.
TEST(Sample, GetsAGravityATemperatureAndASupplyFromOneDocument) {
    const auto config = load_config((source_dir / "config/gyled.toml").string());
    ASSERT_TRUE(config) << told(config.error());
    sensors::Intake intake{config->sensors};
    const double pascal_of_water = 998.207 * 9.80665 * 0.4;

    const sensors::Intaken outcome =
        intake.accept({.topic = "cellar/south/column",
                       .payload = R"({"between": {"pascal": )" + std::to_string(1.048 * pascal_of_water) +
                                  R"(}, "lower": {"celsius": 18.6}, "accumulator": 12.4})",
                       .arrived = base::from_unix_seconds(1'772'388'000)});

    ASSERT_TRUE(outcome.rejects.empty()) << outcome.rejects[0].detail;
    ASSERT_EQ(outcome.readings.size(), 3U);
    EXPECT_NEAR(outcome.readings[0].value, 1.048, 2e-5);
    EXPECT_EQ(outcome.readings[1].value, 18.6);
    EXPECT_EQ(outcome.readings[2].value, 12.4);
}

/// The sample with its switched-off lines switched on.
std::string everything_on() {
    std::string text =
        std::regex_replace(content(source_dir / "config/gyled.toml"), std::regex{"(^|\n)#(?=[a-z[])"}, "$1");
    const std::string open = "mqtt://127.0.0.1:1883";
    return text.replace(text.find(open), open.size(), "mqtts://127.0.0.1:8883");
}

TEST(Sample, ItsSwitchedOffLinesAreRightToo) {
    const std::string text = everything_on();
    ASSERT_NE(text, content(source_dir / "config/gyled.toml"));

    const auto config = parse_config(text, "gyled.toml");

    ASSERT_TRUE(config) << told(config.error());
    EXPECT_EQ(config->broker.password.credential, "mqtt-password");
    ASSERT_TRUE(config->broker.tls);
    EXPECT_EQ(config->broker.tls->key_file, "gyled.key");
    EXPECT_EQ(config->alarms[1].above, 14.8);
    EXPECT_EQ(config->messengers[1].token.file, "logbook-token");
    EXPECT_EQ(config->web.write_token.credential, "web-token");
    EXPECT_EQ(config->web.host_names, std::vector<std::string>{"cellar.example"});
}

/// Each key that the readers ask for is found in the samples, switched on or off.
TEST(Sample, LeavesNoKeyOut) {
    const std::string manual = everything_on() + content(source_dir / "config/batches/ale.toml");
    const std::regex asked{
        R"re((?:text|identifier|path|flag|number|whole|duration|moment|band|numbers|points|texts|secret|choice|table|tables)\(\s*"([a-z_0-9]+)")re"};
    std::set<std::string> keys;
    for (const auto& entry : fs::directory_iterator{source_dir / "daemon/config"}) {
        const std::string code = content(entry.path());
        for (std::sregex_iterator match{code.begin(), code.end(), asked}, end; match != end; ++match)
            keys.insert((*match)[1]);
    }
    EXPECT_GT(keys.size(), 70U) << "the readers are read another way now: mend this test";
    keys.erase("start");  // live, the person says when; a replay's batch file has it
    for (const std::string& key : keys)
        EXPECT_TRUE(std::regex_search(
            manual, std::regex{"(^|[\n{,#]) *" + key + " *=|\\[" + key + "\\]|\\." + key + "\\]"}))
            << key;
}

TEST(Sample, BatchesParse) {
    int count = 0;
    for (const auto& entry : fs::directory_iterator{source_dir / "config/batches"}) {
        const auto plan = load_batch(entry.path().string());
        EXPECT_TRUE(plan) << (plan ? "" : told(plan.error()));
        ++count;
    }
    EXPECT_GE(count, 2);
}

TEST(Sample, TheMildIsPlannedFromStrikeWaterToTheGlass) {
    const auto plan = load_batch((source_dir / "config/batches/ale.toml").string());
    ASSERT_TRUE(plan) << told(plan.error());

    EXPECT_EQ(plan->name, "Harbour Mild");
    EXPECT_EQ(plan->culture, base::Culture::ale);
    EXPECT_EQ(plan->culture_name, "harbour house");
    EXPECT_FALSE(plan->original_gravity);
    EXPECT_EQ(plan->target_co2_volumes, 2.1);
    ASSERT_EQ(plan->stages.size(), 10U);
    const batch::StagePlan& mash = plan->stages[1];
    EXPECT_EQ(mash.kind, base::StageKind::mash);
    EXPECT_EQ(mash.temperature_c, (base::Band{66.0, 68.5}));
    EXPECT_EQ(mash.end.when, batch::StageEnd::When::time_in_band);
    EXPECT_EQ(mash.end.duration, 60min);
    const batch::StagePlan& carbonate = plan->stages[8];
    EXPECT_EQ(carbonate.head_space, base::HeadSpace::supplied);
    EXPECT_EQ(carbonate.head_pressure_kpa, 85);
    EXPECT_EQ(carbonate.pressure_kpa, (base::Band{60, 110}));
    EXPECT_EQ(plan->stages[9].end.when, batch::StageEnd::When::by_hand);
}

}  // namespace
}  // namespace gyled::config
