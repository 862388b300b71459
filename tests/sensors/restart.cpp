/// A restart is no restart: an intake that is cut at any moment and made anew from its state and the stored
/// readings goes on as the one that was never cut.

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using testing::ElementsAre;
using testing::IsEmpty;

SensorSpec dated_hydrometer() {
    SensorSpec spec = hydrometer();
    spec.payload = PayloadKind::json;
    spec.pointer = "/sg";
    spec.time_pointer = "/ts";
    return spec;
}

SensorSpec watched_gauge() {
    SensorSpec spec = pressure_gauge();
    spec.available = Availability{.topic = "cellar/north/there", .yes = "awake", .no = "asleep"};
    return spec;
}

std::vector<SensorSpec> cellar() {
    return {thermometer(), dated_hydrometer(), watched_gauge()};
}

/// Everything an intake may meet, drawn by lot: noise, jumps, new levels, power-up values, a stuck spell,
/// late uploads, duplicates, retained values, nonsense, clocks that run ahead.
class Stream {
public:
    explicit Stream(unsigned seed) : random_{seed} {}

    Message next() {
        now_ += 1min + 1ms * below(60'000);
        switch (below(8)) {
            case 0:
            case 1:
            case 2:
                return temperature();
            case 3:
            case 4:
            case 5:
                return gravity();
            case 6:
                return message(watched_gauge(), fmt::format("{:.2f}", pressure()), now_);
            default:
                return oddity();
        }
    }

private:
    Message temperature() {
        if (below(40) == 0) level_ = 10.0 + below(60);  // liquor is let in
        const bool starting = now_ - evening < 30min;
        if (below(starting ? 2 : 30) == 0) return message(thermometer(), "85", now_);
        if (below(30) == 0) return retained(thermometer(), fmt::format("{}", level_), now_);
        const double wild = below(15) == 0 ? 30 : 0;
        return message(thermometer(), fmt::format("{:.4f}", level_ + wild + noise()), now_);
    }

    Message gravity() {
        const Duration late = below(4) == 0 ? 1min * below(3 * 24 * 60) : 0min;
        Timestamp taken = below(50) == 0 ? now_ + 1h : now_ - late;
        if (below(10) == 0 && !taken_.empty()) taken = taken_[static_cast<std::size_t>(below(taken_.size()))];
        taken_.push_back(taken);
        const double sg = 1.040 + (below(12) == 0 ? 0.03 : 0.0) + 0.001 * noise();
        Message m =
            message(dated_hydrometer(),
                    fmt::format(R"({{"sg":{:.5f},"ts":"{}"}})", sg, gyled::base::to_rfc3339(taken)), now_);
        m.retained = below(20) == 0;
        return m;
    }

    /// Lively for some days, then stuck for longer than 48 h, and so on.
    double pressure() { return (now_ - evening) % 240h < 80h ? 80 + noise() : 80.5; }

    Message oddity() {
        switch (below(4)) {
            case 0:
                return {.topic = "kitchen/oven", .payload = "180", .arrived = now_};
            case 1:
                return {.topic = "cellar/north/there",
                        .payload = below(2) ? "awake" : "perhaps",
                        .arrived = now_};
            case 2:
                return message(thermometer(), "unavailable", now_);
            default:
                return message(watched_gauge(), "5000", now_);
        }
    }

    double noise() { return std::normal_distribution<double>{0, 0.5}(random_); }
    int below(std::size_t limit) {
        return static_cast<int>(std::uniform_int_distribution<std::size_t>{0, limit - 1}(random_));
    }

    std::mt19937 random_;
    Timestamp now_ = evening;
    double level_ = 19;
    std::vector<Timestamp> taken_;
};

/// The accepted readings, as the store holds them.
using Stored = std::vector<Reading>;

/// The latest that an intake must be told of each sensor, in the store's order: by time.
Stored latest_of_each(Stored stored) {
    std::stable_sort(stored.begin(), stored.end(),
                     [](const Reading& a, const Reading& b) { return a.at > b.at; });
    std::map<std::string, std::size_t> told;
    std::erase_if(stored, [&](const Reading& r) { return ++told[r.sensor] > 2048; });
    std::reverse(stored.begin(), stored.end());
    return stored;
}

Intake restarted(const Intake& before, const Stored& stored) {
    Intake after{cellar()};
    EXPECT_THAT(after.restore(before.state()), IsEmpty());
    for (const Reading& r : latest_of_each(stored)) after.remember(r.sensor, r.at, r.value);
    return after;
}

/// All that a message came to, as text, so that a difference can be read.
std::string told(const Intaken& outcome) {
    std::string text;
    for (const Reading& r : outcome.readings)
        text +=
            fmt::format("{} {} {} {}; ", r.sensor, gyled::base::to_rfc3339(r.at), r.value, name(r.quality));
    for (const Reject& r : outcome.rejects) text += fmt::format("{} {} {}; ", r.sensor, r.reason, r.detail);
    return text;
}

std::string told(const std::vector<SensorHealth>& all) {
    std::string text;
    for (const SensorHealth& h : all)
        text +=
            fmt::format("{} {} {} {} {} {} {} {}; ", h.id, h.accepted, h.last_value.value_or(-1),
                        h.last_known.value_or(-1), h.last_reject, h.clock_ahead, h.available.value_or(false),
                        h.stuck_since ? gyled::base::to_rfc3339(*h.stuck_since) : "lively");
    return text;
}

TEST(Restart, AtAnyMomentChangesNothing) {
    int stuck_at_a_cut = 0;
    int doubting_at_a_cut = 0;
    int starting_at_a_cut = 0;
    for (unsigned seed = 0; seed < 6; ++seed) {
        Stream stream{seed};
        std::mt19937 scissors{seed + 100};
        Intake uncut{cellar()};
        Intake cut{cellar()};
        Stored stored;
        for (int i = 0; i < 8'000; ++i) {
            if (scissors() % (i < 50 ? 3 : 400) == 0) {
                cut = restarted(cut, stored);
                stuck_at_a_cut += uncut.health()[2].stuck_since.has_value();
                doubting_at_a_cut += !uncut.state()[0].doubted.empty();
                starting_at_a_cut += uncut.state()[0].power_ups > 0;
            }
            const Message next = stream.next();
            const Intaken outcome = uncut.accept(next);
            ASSERT_EQ(told(cut.accept(next)), told(outcome)) << "seed " << seed << ", message " << i;
            for (const Reading& r : outcome.readings)
                if (r.quality == Quality::accepted) stored.push_back(r);
        }
        ASSERT_EQ(cut.state(), uncut.state()) << "seed " << seed;
        ASSERT_EQ(told(cut.health()), told(uncut.health())) << "seed " << seed;
        ASSERT_EQ(cut.rejected(), uncut.rejected());
        ASSERT_EQ(cut.accepted(), uncut.accepted());
    }
    EXPECT_GT(stuck_at_a_cut, 0) << "the stream must hold what is to be shown";
    EXPECT_GT(doubting_at_a_cut, 0);
    EXPECT_GT(starting_at_a_cut, 0);
}

TEST(Restart, KeepsAPendingJump) {
    Intake before{{thermometer()}};
    const auto say = [](Intake& intake, Duration after, const char* value) {
        const Intaken outcome = intake.accept(message(thermometer(), value, evening + after));
        return outcome.rejects.empty() ? "accepted" : reason(outcome);
    };
    EXPECT_EQ(say(before, 0s, "12"), "accepted");
    EXPECT_EQ(say(before, 15s, "72"), "impossible_jump");
    EXPECT_EQ(say(before, 30s, "72.4"), "impossible_jump");

    Intake after{{thermometer()}};
    EXPECT_THAT(after.restore(before.state()), IsEmpty());

    EXPECT_EQ(say(after, 45s, "72.3"), "accepted") << "the third that agrees";
}

TEST(Restart, KnowsWhereASensorStoodHoweverLongAgoAndWithoutBeingTold) {
    Intake before{{thermometer()}};
    (void)before.accept(message(thermometer(), "19", evening));

    Intake after{{thermometer()}};
    EXPECT_THAT(after.restore(before.state()), IsEmpty());

    EXPECT_EQ(reason(after.accept(message(thermometer(), "19", evening))), "duplicate");
    EXPECT_EQ(after.health()[0].last_at, evening);
    EXPECT_EQ(reason(after.accept(message(thermometer(), "85", evening + 24h * 5))), "sensor_power_up");
}

TEST(Restart, LeavesWhatItCannotTakeUpAndSaysSo) {
    Intake before{{thermometer(), hydrometer(), pressure_gauge()}};
    (void)before.accept(message(thermometer(), "19"));
    (void)before.accept(message(pressure_gauge(), "82"));
    std::vector<SensorState> states = before.state();
    states[0].version = SensorState::current_version + 1;
    SensorSpec other = pressure_gauge();
    other.quantity = Quantity::supply_pressure;

    Intake after{{thermometer(), other}};

    EXPECT_THAT(after.restore(states), ElementsAre("north-beer", "north-gravity", "north-head"));
    EXPECT_EQ(after.accepted(), 0u);
    EXPECT_FALSE(after.health()[0].last_at);
}

TEST(Restart, CarriesTheCountOfWhatNobodyClaims) {
    Intake before{{thermometer()}};
    (void)before.accept({.topic = "kitchen/oven", .payload = "180", .arrived = evening});

    Intake after{{thermometer()}};
    EXPECT_THAT(after.restore(before.state()), IsEmpty());
    (void)after.accept({.topic = "kitchen/oven", .payload = "180", .arrived = evening});

    EXPECT_EQ(after.rejected().at("unclaimed_topic"), 2u);
}

}  // namespace
