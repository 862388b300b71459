/// What a person is reminded of on brew day, and how often: once.

#include "daemon/batch/reminders.hpp"

#include <gtest/gtest.h>

namespace gyled::batch {
namespace {

using namespace std::chrono_literals;

const Timestamp begun = base::from_rfc3339("2026-03-01T08:00:00Z").value();

StagePlan boil_of_an_hour() {
    StagePlan boil;
    boil.kind = StageKind::boil;
    boil.temperature_c = Band{97, 103};
    boil.end = {StageEnd::When::time_in_band, std::nullopt, Duration{60min}};
    boil.additions = {{"bittering hops", 60min}, {"finings", 15min}, {"aroma hops", 5min}};
    return boil;
}
StageClock after(Duration in_band, bool is_inside = true) {
    StageClock clock;
    clock.in_band = in_band;
    if (is_inside) clock.in_band_seen = begun + in_band;
    return clock;
}
Record::Entered entered(std::size_t additions_told = 0) {
    Record::Entered stage;
    stage.at = begun;
    stage.additions_told = additions_told;
    return stage;
}
std::vector<std::string> due(Duration in_band, std::size_t told, bool is_inside = true) {
    const StagePlan boil = boil_of_an_hour();
    std::vector<std::string> names;
    for (const Addition& one : due_additions(boil, entered(told), after(in_band, is_inside)))
        names.push_back(one.what);
    return names;
}

TEST(Additions, AreDueSoLongBeforeTheEndOfTheBoil) {
    using Names = std::vector<std::string>;
    EXPECT_EQ(due(0min, 0, false), Names{}) << "it does not boil yet";
    EXPECT_EQ(due(0min, 0), Names{"bittering hops"});
    EXPECT_EQ(due(44min, 1), Names{});
    EXPECT_EQ(due(45min, 1), Names{"finings"});
    EXPECT_EQ(due(56min, 1), (Names{"finings", "aroma hops"})) << "nobody looked for a while";
    EXPECT_EQ(due(60min, 3), Names{});
    EXPECT_EQ(due(60min, 7), Names{}) << "a plan that was changed meanwhile";
}

TEST(Soon, IsSaidOnceTenMinutesBeforeARestOfAtLeastTwenty) {
    const StagePlan boil = boil_of_an_hour();
    EXPECT_FALSE(is_soon(boil, entered(), after(49min), begun + 49min, {}));
    EXPECT_TRUE(is_soon(boil, entered(), after(50min), begun + 50min, {}));
    EXPECT_FALSE(is_soon(boil, entered(), after(50min, false), begun + 50min, {})) << "it stands still";
    Record::Entered told = entered();
    told.soon_told = begun;
    EXPECT_FALSE(is_soon(boil, told, after(55min), begun + 55min, {}));

    StagePlan mash_out = boil;
    mash_out.kind = StageKind::mash_out;
    mash_out.end.duration = 10min;
    EXPECT_FALSE(is_soon(mash_out, entered(), after(0min), begun, {})) << "it has only begun";
    StagePlan ferment = boil;
    ferment.kind = StageKind::rest;
    EXPECT_FALSE(is_soon(ferment, entered(), after(55min), begun + 55min, {})) << "nobody stands beside it";
}

TEST(Soon, IsSaidOfATemperatureThatIsReachedWithinTenMinutes) {
    StagePlan strike;
    strike.kind = StageKind::strike;
    strike.end = {StageEnd::When::temperature_reached, 72.0, std::nullopt};
    EXPECT_FALSE(is_soon(strike, entered(), {}, begun + 20min, {})) << "nobody knows";
    EXPECT_FALSE(is_soon(strike, entered(), {}, begun + 20min, begun + 31min));
    EXPECT_TRUE(is_soon(strike, entered(), {}, begun + 20min, begun + 30min));
    EXPECT_FALSE(is_soon(strike, entered(), {}, begun + 2min, begun + 12min)) << "too short a wait";
    strike.end.when = StageEnd::When::by_hand;
    EXPECT_FALSE(is_soon(strike, entered(), {}, begun + 20min, begun + 30min));
}

}  // namespace
}  // namespace gyled::batch
