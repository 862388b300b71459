// What the phone hears of a vessel under pressure, through the whole core.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {
namespace {

using ::testing::HasSubstr;

/// "pressure_rising_to_limit raised", in order, of what went to the phone.
std::vector<std::string> phone_of(const Effects& effects) {
    std::vector<std::string> heard;
    for (const annunciation::Notice& notice : effects.notices)
        heard.push_back(notice.rule + " " + std::string{annunciation::name(notice.kind)});
    return heard;
}

struct Point {
    Duration after;
    double kpa;
};
/// Straight lines between points.
double along(const std::vector<Point>& points, Duration t) {
    std::size_t i = 1;
    while (i + 1 < points.size() && points[i].after < t) ++i;
    const double share = base::hours_between(at(points[i - 1].after), at(t)) /
                         base::hours_between(at(points[i - 1].after), at(points[i].after));
    return points[i - 1].kpa + share * (points[i].kpa - points[i - 1].kpa);
}

// A vent that hops have blocked: quick at first, then for hours at half the pace, until the relief valve
// opens at 180 kPa (as such a vessel was simulated).
TEST(PressureWatch, ABlockedVentIsNeverToldAsOverBeforeItsRiseEnds) {
    const std::vector<Point> blocked{{0h, 0},       {1h, 0},       {83min, 34},   {120min, 42},
                                     {264min, 117}, {350min, 162}, {382min, 180}, {390min, 179}};
    Cellar core{harbour()};
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    std::vector<std::string> heard;
    std::optional<Duration> rang;

    for (Duration t = 0min; t <= 382min; t += 1min) {
        const double wobble = 0.3 * std::sin(static_cast<double>(t.count()) / 6e4 * 2.3);
        for (const Effects& effects :
             {core.advance_to(at(t)), core.accept(reading(Quantity::beer_temperature, t, 19.5)),
              core.accept(reading(Quantity::head_pressure, t, along(blocked, t) + wobble))})
            for (const std::string& one : phone_of(effects)) {
                heard.push_back(one);
                if (one == "pressure_rising_to_limit raised" && !rang) rang = t;
            }
    }

    ASSERT_TRUE(rang);
    EXPECT_LT(*rang, 382min - 2h) << "in time to come home";
    EXPECT_THAT(heard, ::testing::Contains("vent_blocked raised"));
    EXPECT_THAT(heard, ::testing::Not(::testing::Contains(HasSubstr("returned"))));
}

// Shut at high krausen: 120 kPa an hour at first, a fifth of it once the beer takes up its share (first
// order, half an hour). A straight line rang after three minutes.
TEST(PressureWatch, AVesselJustShutIsNotSaidToMeetItsLimitAtOnce) {
    batch::Plan plan = mild();
    plan.stages[1] = plan.stages[0];
    plan.stages[1].start.reset();
    plan.stages[1].head_space = HeadSpace::sealed;
    Cellar core{harbour()};
    (void)core.accept(StartBatch{plan, at(0h), {}, Consent::past});
    std::optional<Duration> rang;
    for (Duration t = 0min; t <= 7h; t += 1min) {
        const double h = base::hours_between(at(1h), at(t));
        const double kpa = h < 0 ? 0.3 : 24 * h - 48 * std::expm1(-h / 0.5);
        if (t == 1h) (void)core.accept(EnterStage{"north", at(t), {}, "by hand", Consent::past});
        for (const Effects& effects :
             {core.advance_to(at(t)), core.accept(reading(Quantity::beer_temperature, t, 19.5)),
              core.accept(reading(Quantity::head_pressure, t, std::min(kpa, 179.0)))})
            for (const auto& step : effects.transitions)
                if (step.rule == "pressure_rising_to_limit" && !rang) rang = t - 1h;
    }
    ASSERT_TRUE(rang);
    EXPECT_GT(*rang, 1h) << "the limit is met after 5 h 30 min";
    EXPECT_LT(*rang, 4h + 15min);
}

TEST(PressureWatch, AVentThatWasOpenedEndsItWithinMinutes) {
    Cellar core{harbour()};
    (void)core.accept(StartBatch{mild(), at(0h), {}});
    std::vector<std::string> heard;
    const auto live = [&](Duration from, Duration to, const auto& kpa_at) {
        heard.clear();
        for (Duration t = from; t < to; t += 1min)
            for (const Effects& effects :
                 {core.advance_to(at(t)), core.accept(reading(Quantity::head_pressure, t, kpa_at(t)))})
                for (const std::string& one : phone_of(effects)) heard.push_back(one);
    };
    live(0min, 90min, [](Duration t) { return static_cast<double>(t.count()) / 6e4; });
    ASSERT_THAT(heard, ::testing::Contains("pressure_rising_to_limit raised"));

    live(90min, 105min, [](Duration) { return 0.4; });

    EXPECT_THAT(heard, ::testing::Contains("pressure_rising_to_limit returned"));
    EXPECT_THAT(heard, ::testing::Contains("vent_blocked returned"));
}

// A vessel that nobody brews in, kept under gas.
TEST(PressureWatch, WithoutABatchADeadGaugeOfAPressurisedVesselRingsInTenMinutes) {
    CellarSpec spec = harbour();
    for (ExpectedSensor& sensor : spec.sensors) sensor.silent_after.reset();
    Cellar core{spec};
    (void)core.advance_to(at(0min));
    (void)core.accept(reading(Quantity::head_pressure, 0min, 70));
    (void)core.accept(reading(Quantity::beer_temperature, 0min, 4));

    std::vector<std::string> rang;
    for (Duration t = 1min; t <= 3h; t += 1min)
        for (const auto& step : core.advance_to(at(t)).transitions) {
            rang.push_back(step.subject);
            EXPECT_EQ(step.rule, "sensor_silent");
            EXPECT_EQ(step.priority, alarms::Priority::high);
            EXPECT_EQ(t, 11min);
        }
    EXPECT_EQ(rang, std::vector<std::string>{"head_pressure"});
}

TEST(PressureWatch, ASlowGaugeIsGivenTheTimeItWasSeenToTake) {
    CellarSpec spec = harbour();
    for (ExpectedSensor& sensor : spec.sensors) sensor.silent_after.reset();
    Cellar core{spec};
    (void)core.advance_to(at(0min));
    int rings = 0;
    for (Duration t = 0min; t <= 10h; t += 1min) {
        if (t.count() % Duration{9min}.count() == 0)
            (void)core.accept(reading(Quantity::head_pressure, t, 70));
        rings += static_cast<int>(core.advance_to(at(t)).transitions.size());
    }
    EXPECT_EQ(rings, 0) << "every nine minutes";

    for (Duration t = 10h; t <= 11h; t += 1min)
        for (const auto& step : core.advance_to(at(t)).transitions) {
            ++rings;
            EXPECT_EQ(step.rule, "sensor_silent");
        }
    EXPECT_EQ(rings, 1);
}

TEST(PressureWatch, TheShortPatienceIsTheSameAfterARestart) {
    CellarSpec spec = harbour();
    for (ExpectedSensor& sensor : spec.sensors) sensor.silent_after.reset();
    Cellar before{spec};
    (void)before.advance_to(at(0min));
    (void)before.accept(reading(Quantity::head_pressure, 0min, 70));
    Cellar after{spec};
    after.restore({before.states(), before.learned()});

    const auto patience = [](const Cellar& core) {
        const auto view = core.vessel("north");
        for (const auto& sensor : view->sensors)
            if (sensor.sensor == "head_pressure") return sensor.silent_after;
        return Duration{};
    };
    EXPECT_EQ(patience(before), 10min);
    EXPECT_EQ(patience(after), 10min);
    (void)before.accept(reading(Quantity::head_pressure, 1min, 0.5));
    EXPECT_EQ(patience(before), 45min) << "empty, and nobody's hurry";
}

}  // namespace
}  // namespace gyled::cellar
