/// A brew day through the core: what the person waits for, as it is shown, and the calls that come in time.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cellar/harbour.hpp"
#include "tests/cellar/kept.hpp"

namespace gyled::cellar {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;
using When = batch::StageEnd::When;

batch::StagePlan stage(StageKind kind, std::optional<Band> band, batch::StageEnd end) {
    batch::StagePlan out;
    out.kind = kind;
    out.temperature_c = band;
    out.end = end;
    return out;
}

batch::Plan plan_of(std::vector<batch::StagePlan> stages) {
    batch::Plan plan = mild();
    plan.stages = std::move(stages);
    return plan;
}

/// A core on brew day: a reading each minute, and every notice it gives.
class BrewDay {
public:
    explicit BrewDay(std::vector<batch::StagePlan> stages) {
        (void)core_.advance_to(at(0h));
        take(core_.accept(StartBatch{plan_of(std::move(stages)), at(0h), {}, Consent::given}));
    }
    void hear(double celsius) {
        minute_ += 1min;
        take(core_.advance_to(at(minute_)));
        take(core_.accept(reading(Quantity::beer_temperature, minute_, celsius)));
    }
    void next() { take(core_.accept(EnterStage{"north", at(minute_), {}, "by hand", Consent::given})); }
    void restart() { core_ = store_.restarted(harbour()); }

    [[nodiscard]] std::optional<Countdown> countdown() const { return core_.vessel("north")->countdown; }
    [[nodiscard]] std::string shown() const {
        const auto now = countdown();
        return now ? now->text + " | " + now->detail : "";
    }
    [[nodiscard]] std::string sentence() const { return core_.vessel("north")->sentence; }
    [[nodiscard]] std::vector<annunciation::Notice> called(const std::string& rule) const {
        std::vector<annunciation::Notice> found;
        for (const auto& notice : notices_)
            if (notice.rule == rule) found.push_back(notice);
        return found;
    }
    [[nodiscard]] double minutes() const { return static_cast<double>(minute_.count()) / 60'000; }

private:
    void take(Effects effects) {
        for (const auto& notice : effects.notices) notices_.push_back(notice);
        store_.keep(effects, core_);
    }
    Cellar core_{harbour()};
    Kept store_;
    Duration minute_{};
    std::vector<annunciation::Notice> notices_;
};

/// 22 L on 2.0 kW: 1.3 K a minute at first, and W/K of losses that slow it down.
double strike_liquor_c(double minutes) {
    return 20 + 110 * (1 - std::exp(-minutes / 85));
}

TEST(BrewDay, TellsWhenTheStrikeIsReadyTenMinutesBeforeAndWhenItIs) {
    BrewDay north{
        {stage(StageKind::strike, Band{71, 73}, {When::temperature_reached, 72.0, std::nullopt}),
         stage(StageKind::mash, Band{66, 68.5}, {When::time_in_band, std::nullopt, Duration{60min}})}};
    const double ready_minute = -85 * std::log(1 - 52.0 / 110);
    while (north.minutes() < 30) north.hear(strike_liquor_c(north.minutes() + 1));
    EXPECT_THAT(north.shown(), HasSubstr("Strike ready "));
    EXPECT_THAT(north.sentence(), HasSubstr("Strike ready "));
    ASSERT_TRUE(north.countdown()->due);
    EXPECT_NEAR(base::hours_between(at(0h), *north.countdown()->due) * 60, ready_minute, 3);
    EXPECT_LE(*north.countdown()->earliest, *north.countdown()->due);
    EXPECT_THAT(north.called("stage_soon"), SizeIs(0));

    while (north.minutes() < ready_minute + 5) north.hear(strike_liquor_c(north.minutes() + 1));

    ASSERT_THAT(north.called("stage_soon"), SizeIs(1));
    const auto soon = north.called("stage_soon").front();
    EXPECT_NEAR(base::hours_between(at(0h), soon.at) * 60, ready_minute - 10, 2);
    EXPECT_THAT(soon.title, HasSubstr("North: Strike ready "));
    EXPECT_THAT(soon.text, HasSubstr("scald"));
    EXPECT_EQ(soon.priority, alarms::Priority::medium);
    EXPECT_THAT(soon.recipients, ElementsAre("phone"));
    ASSERT_THAT(north.called("stage_end"), SizeIs(1));
    EXPECT_NEAR(base::hours_between(at(0h), north.called("stage_end").front().at) * 60, ready_minute,
                2);  // seen with the next reading, told with the next minute
    EXPECT_EQ(north.called("stage_end").front().priority, alarms::Priority::medium);
    EXPECT_THAT(north.shown(), HasSubstr("Strike ready: dough in | since"));
    EXPECT_THAT(north.shown(), HasSubstr("next: mash"));
}

TEST(BrewDay, CountsARestDownAndSaysWhenItStandsStill) {
    BrewDay north{
        {stage(StageKind::mash, Band{66, 68.5}, {When::time_in_band, std::nullopt, Duration{60min}}),
         stage(StageKind::mash_out, Band{75, 78}, {When::time_in_band, std::nullopt, Duration{10min}})}};
    while (north.minutes() < 39) north.hear(67);  // counted from the second reading on
    EXPECT_THAT(north.shown(), ::testing::StartsWith("Mash rest: 23 min left | until "));
    EXPECT_EQ(north.countdown()->left, 23min);

    for (int i = 0; i < 5; ++i) north.hear(64.1);
    EXPECT_EQ(north.shown(), "Mash rest: 22 min left, and standing still | 64.1 °C is below its band");
    EXPECT_EQ(north.countdown()->kind, Countdown::Kind::paused);

    north.restart();
    while (!north.called("stage_end").size()) north.hear(67);
    EXPECT_THAT(north.called("stage_soon"), SizeIs(1));
    EXPECT_THAT(north.called("stage_soon").front().title, HasSubstr("Mash rest: 10 min left"));
    EXPECT_NEAR(north.minutes(), 67, 1.5)
        << "the minutes outside the band do not count, those before the restart do";

    north.next();
    north.hear(68);
    EXPECT_THAT(north.shown(), HasSubstr("Mash-out: 10 min left"));
}

TEST(BrewDay, RemindsOfEachAdditionOnce) {
    batch::StagePlan boil =
        stage(StageKind::boil, Band{97, 103}, {When::time_in_band, std::nullopt, Duration{60min}});
    boil.additions = {{"bittering hops, 25 g", 60min}, {"finings", 15min}, {"aroma hops", 5min}};
    BrewDay north{{boil}};
    while (north.minutes() < 10) north.hear(80 + 1.5 * north.minutes());
    EXPECT_THAT(north.called("addition"), SizeIs(0)) << "it does not boil";

    while (north.minutes() < 25) north.hear(99.6);
    EXPECT_THAT(north.shown(), HasSubstr("; finings in "));
    north.restart();
    while (north.called("stage_end").empty()) north.hear(99.6);

    const auto calls = north.called("addition");
    ASSERT_THAT(calls, SizeIs(3));
    EXPECT_EQ(calls[0].title, "North: bittering hops, 25 g");
    EXPECT_THAT(calls[1].text, HasSubstr("Add now: finings, 15 min before the end."));
    EXPECT_NEAR(base::hours_between(calls[0].at, calls[1].at) * 60, 45, 1.1);
    EXPECT_NEAR(base::hours_between(calls[1].at, calls[2].at) * 60, 10, 1.1);
    EXPECT_NEAR(base::hours_between(calls[2].at, north.called("stage_end").front().at) * 60, 5, 1.1);
}

/// Newton's law of cooling (any textbook): wort in a coil's coolant that ends at 23 degC.
TEST(BrewDay, SaysThatTheCoolantCannotDoIt) {
    BrewDay north{{stage(StageKind::chill, std::nullopt, {When::temperature_reached, 19.0, std::nullopt})}};
    while (north.minutes() < 60) {
        north.hear(23 + 72 * std::exp(-(north.minutes() + 1) / 18));
        if (north.countdown() && north.countdown()->kind == Countdown::Kind::levels_off) break;
    }

    ASSERT_EQ(north.countdown()->kind, Countdown::Kind::levels_off) << north.shown();
    EXPECT_LT(north.minutes(), 50) << "before it is plain to see";
    EXPECT_THAT(north.shown(), HasSubstr("It levels off at 2"));
    EXPECT_THAT(north.shown(), HasSubstr("19.0 °C is wanted. The coolant cannot do more"));
    while (north.minutes() < 75) north.hear(23 + 72 * std::exp(-(north.minutes() + 1) / 18));
    EXPECT_THAT(north.shown(), ::testing::AnyOf(HasSubstr("It levels off at 22."),
                                                HasSubstr("It levels off at 23."), HasSubstr("Chill: 2")));
}

TEST(BrewDay, PromisesTheTimeToPitchWhereTheCoolantCan) {
    BrewDay north{{stage(StageKind::chill, std::nullopt, {When::temperature_reached, 19.0, std::nullopt})}};
    for (int i = 0; i < 25; ++i) {
        north.hear(12 + 83 * std::exp(-(north.minutes() + 1) / 18));
        const auto now = north.countdown();
        EXPECT_FALSE(now && now->kind == Countdown::Kind::levels_off) << north.minutes();
    }
    EXPECT_THAT(north.shown(), HasSubstr("Ready to pitch "));
    EXPECT_NEAR(base::hours_between(at(0h), *north.countdown()->due) * 60, 18 * std::log(83.0 / 7), 6);
}

TEST(BrewDay, SaysWhatADriftDoesToTheWort) {
    for (const auto& [celsius, words] :
         {std::pair{72.0, "fuller and sweeter"}, {62.0, "drier and thinner"}}) {
        CellarSpec spec = harbour();
        Cellar core{spec};
        (void)core.advance_to(at(0h));
        (void)core.accept(StartBatch{plan_of({stage(StageKind::mash, Band{66, 68.5},
                                                    {When::time_in_band, std::nullopt, Duration{60min}})}),
                                     at(0h),
                                     {}});
        std::string text;
        for (Duration t = 1min; t < 20min; t += 1min) {
            Effects effects = core.advance_to(at(t));
            effects.append(core.accept(reading(Quantity::beer_temperature, t, t < 8min ? 67 : celsius)));
            for (const auto& notice : effects.notices)
                if (notice.rule == "temperature_out_of_band") text = notice.text;
        }
        EXPECT_THAT(text, HasSubstr(words)) << celsius;
    }
}

}  // namespace
}  // namespace gyled::cellar
