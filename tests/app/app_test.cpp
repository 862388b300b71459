/// The whole daemon on a loop of the test's, with a double for the broker: what it takes in, keeps and takes
/// up again.

#include "daemon/app/app.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <string>

#include "daemon/storage/queries.hpp"
#include "tests/support/scripted_source.hpp"

namespace gyled::app {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Pair;
using ::testing::SizeIs;

constexpr const char* config_text = R"(
[[vessel]]
id = "north"
total_volume_l = 26.0
working_pressure_kpa = 200
relief_pressure_kpa = 180
[[sensor]]
vessel = "north"
measures = "beer_temperature"
topic = "cellar/north/temperature"
[[sensor]]
vessel = "north"
measures = "head_pressure"
topic = "cellar/north/pressure"
[web]
listen = ""
)";

class Daemon : public ::testing::Test {
protected:
    Daemon() {
        std::string name = (std::filesystem::temp_directory_path() / "gyled-app-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~Daemon() override {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }

    [[nodiscard]] virtual config::Config config() const { return configured(config_text); }
    [[nodiscard]] config::Config configured(const char* text) const {
        auto config = config::parse_config(text, "gyled.toml").value();
        config.storage.path = database();
        config.web.socket = (folder_ / "s").string();
        return config;
    }
    std::string database() const { return (folder_ / "gyled.db").string(); }

    /// One life of the daemon: started, told of `messages`, given its turns, and stopped.
    void live(const std::function<void(testing::ScriptedSource&)>& messages) {
        boost::asio::io_context loop{1};
        testing::ScriptedSource* source = nullptr;
        std::function<void()> wake;
        App app{loop, config(), lifesigns_, clock_,
                [&](std::vector<std::string> filters, std::function<void()> on_news) {
                    filters_ = std::move(filters);
                    wake = std::move(on_news);
                    auto made = std::make_unique<testing::ScriptedSource>();
                    source = made.get();
                    return made;
                }};
        app.start();
        loop.poll();
        messages(*source);
        wake();
        loop.run_for(10ms);  // a stream is taken in groups
        now_ += time_passes_;
        app.stop();
        loop.restart();
        loop.poll();  // what the courier still handed over
        published_ = source->published;
        released_ = source->released;
    }

    std::filesystem::path folder_;
    Timestamp now_ = base::from_rfc3339("2026-03-01T18:00:00Z").value();
    base::Clock clock_{[this] { return now_; }};
    base::Duration time_passes_{};  ///< before the end of a life
    Lifesigns lifesigns_;
    std::vector<std::string> filters_;
    std::vector<std::pair<std::string, std::string>> published_;
    std::vector<std::uint64_t> released_;
};

std::size_t readings_in(const std::string& database) {
    const storage::ReadStore store{database};
    return store.for_each_reading("north", Timestamp::min(), Timestamp::max(), [](const auto&) {});
}

TEST_F(Daemon, KeepsWhatArrivesAndReleasesIt) {
    bool is_ready = false;
    lifesigns_.ready = [&] { is_ready = true; };

    live([&](auto& source) { source.send("cellar/north/temperature", "19.5", now_); });

    EXPECT_TRUE(is_ready);
    EXPECT_THAT(filters_, Contains("cellar/north/temperature"));
    EXPECT_EQ(readings_in(database()), 1u);
    EXPECT_FALSE(released_.empty());
}

TEST_F(Daemon, TellsTheBrokerOfAnAlarm) {
    live([&](auto& source) { source.send("cellar/north/pressure", "190", now_); });

    EXPECT_THAT(published_, Contains(Pair(HasSubstr("gyled/north/alarm/"), HasSubstr("raised"))));
}

TEST_F(Daemon, TakesUpTheAlarmsThatStoodWhenItEnded) {
    live([&](auto& source) { source.send("cellar/north/pressure", "190", now_); });
    now_ += 2min;

    live([&](auto& source) { source.send("cellar/north/pressure", "190.1", now_); });

    EXPECT_THAT(published_, ::testing::Not(Contains(Pair(HasSubstr("/alarm/"), HasSubstr("\"raised\"")))))
        << "it stands already: nothing new happened";
    EXPECT_EQ(readings_in(database()), 2u);
}

/// A thermometer that tells its own time, patience of two hours with it, a threshold, and a buzzer at the
/// broker.
constexpr const char* old_news_config = R"(
[[vessel]]
id = "north"
total_volume_l = 26.0
[[sensor]]
vessel = "north"
measures = "room_temperature"
topic = "cellar/north/room"
payload = "json"
pointer = "/celsius"
time = "/ts"
silent_after = "2h"
[[alarm]]
rule = "room-too-warm"
quantity = "room_temperature"
above = 30
on_delay = "0s"
priority = "high"
[[messenger]]
name = "buzzer"
kind = "mqtt"
topic = "house/buzzer"
[web]
listen = ""
)";

class OldNews : public Daemon {
protected:
    OldNews() { time_passes_ = 1min; }  // the core looks up by itself each minute

    [[nodiscard]] config::Config config() const override { return configured(old_news_config); }

    void read(testing::ScriptedSource& source, double celsius, Timestamp taken) const {
        source.send(
            "cellar/north/room",
            R"({"celsius":)" + std::to_string(celsius) + R"(,"ts":")" + base::to_rfc3339(taken) + R"("})",
            now_);
    }
    [[nodiscard]] std::vector<std::string> buzzed() const {
        std::vector<std::string> texts;
        for (const auto& [topic, text] : published_)
            if (topic == "house/buzzer") texts.push_back(text);
        return texts;
    }
    [[nodiscard]] std::vector<alarms::Transition> recorded() const {
        return storage::ReadStore{database()}.alarms(10, Timestamp::max());
    }
};

TEST_F(OldNews, IsRecordedAndRingsNobodyAndAFreshReadingThenRingsOnce) {
    live([&](auto& source) { read(source, 34, now_ - 90min); });

    EXPECT_THAT(buzzed(), IsEmpty());
    EXPECT_EQ(readings_in(database()), 1u);
    ASSERT_THAT(recorded(), SizeIs(1));
    EXPECT_EQ(recorded().front().state, alarms::AlarmState::raised);
    EXPECT_FALSE(recorded().front().annunciated);

    now_ += 2min;
    live([&](auto& source) {
        read(source, 34.1, now_);
        read(source, 34.2, now_ + 1s);
    });

    ASSERT_THAT(buzzed(), SizeIs(1));
    EXPECT_THAT(buzzed().front(), HasSubstr("room-too-warm"));
}

TEST_F(Daemon, StoppedTwiceIsStopped) {
    boost::asio::io_context loop{1};
    App app{loop, config(), lifesigns_, [this] { return now_; },
            [](const auto&, const auto&) { return std::make_unique<testing::ScriptedSource>(); }};
    app.start();
    app.stop();
    app.stop();
    loop.run();  // ends, for nothing is left to do
}

TEST_F(Daemon, AWallAYearAheadMovesNothingAndAPressureRings) {
    Duration steady = 1h;
    Timestamp wall = now_;
    clock_ = base::Clock{[&] { return wall; }, [&] { return steady; }, [] { return true; }};

    live([&](auto& source) {
        wall += 24h * 365;
        source.send("cellar/north/pressure", "190", now_);
    });

    EXPECT_THAT(published_, Contains(Pair(HasSubstr("gyled/north/alarm/"), HasSubstr("raised"))));
    const storage::ReadStore store{database()};
    EXPECT_EQ(store.vessel_states().back().at, now_) << "the watch's time is that of the steady clock";
}

TEST_F(Daemon, WithoutTheTimeStoresNothingAndReleasesNothingButTells) {
    clock_ =
        base::Clock{[] { return Timestamp{} + 10s; }, [] { return Duration{10s}; }, [] { return false; }};

    live([&](auto& source) { source.send("cellar/north/pressure", "190", base::source_time()); });

    EXPECT_THAT(published_, Contains(Pair(HasSubstr("gyled/north/alarm/"), HasSubstr("raised"))));
    EXPECT_EQ(readings_in(database()), 0u);
    EXPECT_TRUE(released_.empty());
}

}  // namespace
}  // namespace gyled::app
