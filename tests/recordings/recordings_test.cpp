/// Replays every recording and compares the whole output with what it told before.

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/app/replay.hpp"

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using Json = nlohmann::json;

std::vector<Json> lines_of(std::istream& in) {
    std::vector<Json> lines;
    for (std::string line; std::getline(in, line);) lines.push_back(Json::parse(line));
    return lines;
}

double seconds_of(const Json& moment) {
    const auto t = base::from_rfc3339(moment.get<std::string>());
    return t ? base::unix_seconds(*t) : NAN;
}

/// How far a number may move without anybody calling it a change: below what a person would see.
double tolerance(const std::string& quantity) {
    if (quantity == "gravity_now" || quantity == "final_gravity") return 0.0004;
    if (quantity == "gravity_rate") return 0.0008;
    if (quantity == "apparent_attenuation" || quantity == "real_attenuation") return 1.5;
    if (quantity == "alcohol_by_volume") return 0.1;
    if (quantity.starts_with("co2") || quantity == "residual_co2_potential") return 0.06;
    return 3;  // kPa
}

void compare_estimates(const Json& was, const Json& is) {
    for (const auto& [name, before] : was.items()) {
        ASSERT_TRUE(is.contains(name)) << name << " is no longer known";
        const Json& now = is.at(name);
        const auto quantity = base::quantity_named(name);
        ASSERT_TRUE(quantity.has_value()) << name;
        if (base::is_moment(*quantity)) {
            EXPECT_NEAR(seconds_of(now.at("value")), seconds_of(before.at("value")), 6 * 3600) << name;
        } else {
            EXPECT_NEAR(now.at("value").get<double>(), before.at("value").get<double>(), tolerance(name))
                << name;
        }
    }
    for (const auto& [name, now] : is.items())
        EXPECT_TRUE(was.contains(name)) << name << " was not known before";
}

TEST(Recordings, TellTheSameStoryAsBefore) {
    const std::filesystem::path folder = GYLED_SOURCE_DIR "/tests/recordings";
    int replayed = 0;
    for (const auto& entry : std::filesystem::directory_iterator{folder}) {
        if (entry.path().extension() != ".expected") continue;
        const std::string name = entry.path().stem().string();
        SCOPED_TRACE(name);
        const auto path = [&](const std::string& ending) { return (folder / (name + ending)).string(); };
        const auto config = config::load_config(path(".gyled.toml"));
        const auto plan = config::load_batch(path(".batch.toml"));
        ASSERT_TRUE(config.has_value() && plan.has_value());
        std::stringstream out, talk;
        ASSERT_EQ(replay(*config, &*plan, {path(".log.gz"), true, 6h}, out, talk), 0) << talk.str();
        std::ifstream expected{entry.path()};
        const auto was = lines_of(expected), is = lines_of(out);

        ASSERT_EQ(is.size(), was.size()) << "lines told";
        for (std::size_t i = 0; i < was.size(); ++i) {
            SCOPED_TRACE(was[i].dump().substr(0, 120));
            ASSERT_EQ(is[i].at("kind"), was[i].at("kind"));
            if (was[i].at("kind") == "estimate") {
                EXPECT_EQ(is[i].at("time"), was[i].at("time"));
                EXPECT_EQ(is[i].at("stage"), was[i].at("stage"));
                compare_estimates(was[i].at("estimates"), is[i].at("estimates"));
            } else if (was[i].at("kind") == "summary") {
                EXPECT_EQ(is[i].at("readings"), was[i].at("readings"));
                EXPECT_EQ(is[i].at("rejected"), was[i].at("rejected"));
            } else {
                const char* what = was[i].at("kind") == "fact" ? "fact" : "rule";
                EXPECT_EQ(is[i].at(what), was[i].at(what));
                EXPECT_NEAR(seconds_of(is[i].at("time")), seconds_of(was[i].at("time")), 3 * 3600);
            }
        }
        ++replayed;
    }
    EXPECT_GE(replayed, 3) << "a test that compares nothing proves nothing";
}

}  // namespace
}  // namespace gyled::app
