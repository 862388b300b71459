/// Where a batch stands in its stage: the whole table, and the clock that runs towards a stage's end.

#include "daemon/batch/stage_machine.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "daemon/batch/stage_clock.hpp"

namespace gyled::batch {
namespace {

using namespace std::chrono_literals;

Timestamp at(Duration after) {
    return base::from_rfc3339("2026-03-01T08:00:00Z").value() + after;
}

TEST(StageTable, SaysWhatEachEventDoesInEachState) {
    using enum Standing;
    using enum StageEvent;
    struct Expected {
        Standing from;
        StageEvent on;
        Standing to;
        StageEffect effect;
    };
    const Expected all[] = {
        {idle, started, under_way, StageEffect::enter},
        {idle, moved_on, idle, StageEffect::none},
        {idle, end_met, idle, StageEffect::none},
        {idle, closed, idle, StageEffect::none},
        {under_way, started, under_way, StageEffect::none},
        {under_way, moved_on, under_way, StageEffect::enter},
        {under_way, end_met, end_reached, StageEffect::tell_end},
        {under_way, closed, idle, StageEffect::close},
        {end_reached, started, end_reached, StageEffect::none},
        {end_reached, moved_on, under_way, StageEffect::enter},
        {end_reached, end_met, end_reached, StageEffect::none},
        {end_reached, closed, idle, StageEffect::close},
        {idle, withdrawn, under_way, StageEffect::reopen},
        {under_way, withdrawn, under_way, StageEffect::resume},
        {end_reached, withdrawn, under_way, StageEffect::resume},
    };
    for (const Expected& e : all) {
        const StageRow row = step(e.from, e.on);
        EXPECT_EQ(row.to, e.to) << static_cast<int>(e.from) << ' ' << static_cast<int>(e.on);
        EXPECT_EQ(row.effect, e.effect) << static_cast<int>(e.from) << ' ' << static_cast<int>(e.on);
    }
}

StagePlan rest_of_an_hour() {
    StagePlan mash;
    mash.kind = StageKind::mash;
    mash.temperature_c = Band{66, 68};
    mash.end = {StageEnd::When::time_in_band, std::nullopt, Duration{60min}};
    return mash;
}

StageClock after_minutes(StageClock clock, const StagePlan& stage, Duration from, Duration to,
                         double beer_c) {
    for (Duration t = from; t <= to; t += 1min)
        clock = advanced(clock, stage, {.now = at(t), .beer_c = beer_c});
    return clock;
}

TEST(StageClock, CountsOnlyMinutesInTheBand) {
    const StagePlan mash = rest_of_an_hour();

    StageClock clock = after_minutes({}, mash, 0min, 30min, 67);
    clock = after_minutes(clock, mash, 31min, 45min, 63);
    clock = after_minutes(clock, mash, 46min, 75min, 67);

    EXPECT_EQ(clock.in_band, 59min);
    EXPECT_FALSE(end_met(clock, mash, {.now = at(75min), .beer_c = 67}));
    clock = after_minutes(clock, mash, 76min, 76min, 67);
    EXPECT_TRUE(end_met(clock, mash, {.now = at(76min), .beer_c = 67}));
}

TEST(StageClock, AskingWhetherTheEndIsMetMovesNothing) {
    const StagePlan mash = rest_of_an_hour();
    const StageClock clock = after_minutes({}, mash, 0min, 59min, 67);
    const StageClock before = clock;

    for (int i = 0; i < 100; ++i)
        EXPECT_FALSE(end_met(clock, mash, {.now = at(59min + 1min * i), .beer_c = 67}));

    EXPECT_EQ(clock, before);
}

TEST(StageClock, BridgesAnInterruptionButNotAnUnwatchedHour) {
    const StagePlan mash = rest_of_an_hour();
    const StageClock clock = after_minutes({}, mash, 0min, 20min, 67);

    EXPECT_EQ(advanced(clock, mash, {.now = at(40min), .beer_c = 67}).in_band, 40min);
    EXPECT_EQ(advanced(clock, mash, {.now = at(80min), .beer_c = 67}).in_band, 20min)
        << "nobody saw that hour";
    EXPECT_EQ(advanced(clock, mash, {.now = at(40min), .beer_c = 62}).in_band, 20min)
        << "it cooled meanwhile";
    EXPECT_EQ(advanced(clock, mash, {.now = at(40min)}).in_band, 20min) << "no reading, no claim";
}

struct Slow {
    const char* what;
    StageKind kind;
    double start_c, target_c;
    double not_yet_c, there_c;
};

class TemperatureEnd : public ::testing::TestWithParam<Slow> {};

TEST_P(TemperatureEnd, IsMetFromWhereTheBeerStoodWhateverTheStageIsCalled) {
    const Slow& slow = GetParam();
    StagePlan stage;
    stage.kind = slow.kind;
    stage.end = {StageEnd::When::temperature_reached, slow.target_c, std::nullopt};

    StageClock clock = advanced({}, stage, {.now = at(0min), .beer_c = slow.start_c});
    EXPECT_FALSE(end_met(clock, stage, {.now = at(0min), .beer_c = slow.start_c}));
    clock = advanced(clock, stage, {.now = at(1h), .beer_c = slow.not_yet_c});
    EXPECT_FALSE(end_met(clock, stage, {.now = at(1h), .beer_c = slow.not_yet_c}));
    clock = advanced(clock, stage, {.now = at(2h), .beer_c = slow.there_c});
    EXPECT_TRUE(end_met(clock, stage, {.now = at(2h), .beer_c = slow.there_c}));
}

INSTANTIATE_TEST_SUITE_P(
    Stages, TemperatureEnd,
    ::testing::Values(Slow{"lagering", StageKind::condition, 12.0, 2.0, 2.1, 2.0},
                      Slow{"warming to condition", StageKind::condition, 2.0, 12.0, 11.9, 12.0},
                      Slow{"a crash", StageKind::crash, 19.0, 1.0, 1.5, 0.9},
                      Slow{"a diacetyl rest", StageKind::rest, 11.0, 16.0, 15.9, 16.1},
                      Slow{"strike water", StageKind::strike, 12.0, 73.0, 72.9, 73.0},
                      Slow{"chilled from the boil", StageKind::chill, 99.0, 20.0, 20.4, 19.9}),
    [](const auto& one) {
        std::string name = one.param.what;
        std::replace(name.begin(), name.end(), ' ', '_');
        return name;
    });

TEST(TemperatureEnd, WaitsForAReadingOfItsOwnStage) {
    StagePlan chill;
    chill.kind = StageKind::chill;
    chill.end = {StageEnd::When::temperature_reached, 20.0, std::nullopt};

    const StageClock clock = advanced({}, chill, {.now = at(0min)});

    EXPECT_EQ(clock.direction, StageClock::Direction::unknown);
    EXPECT_FALSE(end_met(clock, chill, {.now = at(0min)}));
}

TEST(OtherEnds, FollowWhatIsBelieved) {
    StagePlan ferment;
    ferment.end.when = StageEnd::When::terminal_gravity;
    EXPECT_FALSE(end_met({}, ferment, {.now = at(1h)}));
    EXPECT_TRUE(end_met({}, ferment, {.now = at(1h), .finished = true}));
    ferment.end.when = StageEnd::When::carbonated;
    EXPECT_FALSE(end_met({}, ferment, {.now = at(1h), .finished = true}));
    EXPECT_TRUE(end_met({}, ferment, {.now = at(1h), .carbonated = true}));
    ferment.end.when = StageEnd::When::by_hand;
    EXPECT_FALSE(end_met({}, ferment, {.now = at(1h), .finished = true, .carbonated = true}));
}

}  // namespace
}  // namespace gyled::batch
