/// The pipeline, with a batch and without, while the wall clock is nonsense for a month.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "daemon/pipeline/timekeeper.hpp"
#include "tests/pipeline/harbour_pipeline.hpp"

namespace gyled::pipeline {
namespace {

using ::testing::Contains;
using ::testing::IsEmpty;
using ::testing::StartsWith;

constexpr Duration year = 24h * 365;

/// A month of true time; the wall is set some twenty times a day to any nonsense, and now and then right.
struct Month {
    unsigned seed;
    int days;
    bool brewing;  ///< with a batch; its beliefs, folded anew at each jump, take their time
};

class Nonsense : public ::testing::TestWithParam<Month> {
protected:
    const Duration month = 24h * GetParam().days;
    static constexpr Duration turn = 10s;  // so late may a pressure be told

    Nonsense()
        : pipeline{cellar::Cellar{harbour_core()},
                   sensors::Intake{harbour_sensors()},
                   source,
                   store,
                   heard,
                   seldom_committed()},
          keeper{look(), {}, parameters()} {
        pipeline.resume(keeper.at(steady()));
        if (!GetParam().brewing) return;
        batch::Plan plan;
        plan.name = "Harbour Mild";
        plan.vessel = "north";
        plan.volume_l = 21;
        batch::StagePlan serve;
        serve.kind = base::StageKind::serve;
        serve.head_space = base::HeadSpace::spunded;
        serve.head_pressure_kpa = 100;
        serve.temperature_c = base::Band{8, 14};
        plan.stages = {serve};
        const auto answer = pipeline.carry_out(cellar::StartBatch{plan, watch_time(), {}}, watch_time());
        EXPECT_THAT(answer.problems, IsEmpty());
    }

    static Parameters seldom_committed() {
        Parameters p;
        p.ledger.commit_every = 1min;  // for speed
        return p;
    }
    static TimekeeperParameters parameters() {
        TimekeeperParameters p;
        p.earliest = at(-24h * 30);
        return p;
    }
    [[nodiscard]] Duration steady() const { return 5h + true_; }
    [[nodiscard]] Timekeeper::Look look() const { return {at(true_ + off), steady(), false}; }
    [[nodiscard]] Timestamp watch_time() const { return keeper.at(steady()); }

    void set_the_wall() {
        const Duration sizes[] = {7s, 30s, 5min, 1h, 5h, 24h, 24h * 40, year, 5 * year};
        const Duration size =
            sizes[std::uniform_int_distribution<std::size_t>{0, std::size(sizes) - 1}(random)];
        const int way = std::uniform_int_distribution<int>{-1, 2}(random);  // right in one of four
        // Nobody sets a clock to the millisecond: no two moments get the same name twice.
        const Duration crooked{std::uniform_int_distribution<int>{1, 9'999}(random)};
        off = way == 0 ? 0s : (way == 2 ? size : way * size) + crooked;
    }

    /// One turn of the loop: what the App does once a second.
    void live_a_turn(double kpa) {
        true_ += turn;
        if (std::uniform_real_distribution<>{}(random) < 20 * turn / (24.0h)) set_the_wall();
        if (const auto set = keeper.look(look())) {
            pipeline.set_clock(*set);
            ++times_set;
        }
        const Timestamp now = watch_time();
        if (true_ % 5min == 0s)
            source.send("cellar/north/temperature", "11." + std::to_string(true_ / 5min % 3), now);
        if (true_ % 1min == 0s) source.send("cellar/north/pressure", std::to_string(kpa), now);
        (void)pipeline.drain(now);
        pipeline.advance(now);
    }
    [[nodiscard]] std::size_t steps() const { return heard.transitions.size(); }
    [[nodiscard]] std::vector<std::string> annunciated_since(std::size_t before) const {
        std::vector<std::string> rang;
        for (std::size_t i = before; i < steps(); ++i)
            if (const auto& step = heard.transitions[i]; step.annunciated)
                rang.push_back(step.rule + " " + std::string{alarms::name(step.priority)});
        return rang;
    }

    std::mt19937 random{GetParam().seed};
    Duration true_{}, off{};
    int times_set = 0;
    MemoryStore store;
    testing::ScriptedSource source;
    Heard heard;
    Pipeline pipeline;
    Timekeeper keeper;
};

TEST_P(Nonsense, RingsNobodyFalselyMissesNoPressureAndLosesNothing) {
    std::size_t readings = 0;
    bool is_told = false;
    Duration next_trouble = 7h;
    while (true_ < month) {
        const bool is_trouble = true_ >= next_trouble && true_ < next_trouble + 10min;
        const std::size_t before = steps();
        live_a_turn(is_trouble ? 189 : 100 + std::uniform_real_distribution<>{0, 0.5}(random));
        readings += (true_ % 5min == 0s ? 1u : 0u) + (true_ % 1min == 0s ? 1u : 0u);
        const auto what_rang = annunciated_since(before);
        if (is_trouble && true_ % 1min == 0s && !std::exchange(is_told, true)) {
            ASSERT_THAT(what_rang, Contains("pressure_near_limit critical"))
                << "told within its own turn, at " << true_ / 1h << " h";
        }
        for (const std::string& each : what_rang)
            ASSERT_THAT(each, StartsWith("pressure_"))
                << "at " << true_ / 1h << " h, wall off by " << off / 1h << " h";
        if (!is_trouble && !is_told) {
            ASSERT_THAT(what_rang, IsEmpty()) << "at " << true_ / 1h << " h";
        }
        if (true_ >= next_trouble + 30min) {
            EXPECT_THAT(pipeline.core().vessel("north")->alarms, IsEmpty()) << "and it is over again";
            next_trouble += 29h;
            is_told = false;
        }
    }
    EXPECT_GT(times_set, 5 * GetParam().days);
    pipeline.stop(watch_time());
    std::set<std::pair<std::string, Timestamp>> keys;
    for (const cellar::ReadingPoint& reading : store.readings) keys.emplace(reading.sensor, reading.at);
    EXPECT_EQ(store.readings.size(), readings) << "nothing is lost";
    EXPECT_EQ(keys.size(), readings) << "and nothing hides another in the store";
}

INSTANTIATE_TEST_SUITE_P(Months, Nonsense,
                         ::testing::Values(Month{1, 30, false}, Month{2, 30, true}, Month{3, 30, true}));

}  // namespace
}  // namespace gyled::pipeline
