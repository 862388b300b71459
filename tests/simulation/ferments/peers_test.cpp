/// Are the methods beside what they are called?

#include <gtest/gtest.h>

#include <cmath>

#include "tests/simulation/ferments/judge/lines.hpp"
#include "tests/simulation/ferments/judge/peers.hpp"

namespace gyled::ferment_worlds {
namespace {

/// A world whose readings are what `sg` says, each quarter of an hour, without a fault.
template <typename Curve>
World read_faultlessly(double hours, const Curve& sg) {
    World world;
    world.family = "made";
    world.number = 1;
    world.stages.push_back({world.begin, base::StageKind::ferment, 20});
    world.told_original_sg = world.original_sg = sg(0.0);
    for (double hour = 0.25; hour <= hours; hour += 0.25) {
        world.quarters.push_back({sg(hour), 20});
        world.readings.push_back({world.time_of(hour), base::Quantity::beer_temperature, 20});
        world.readings.push_back({world.time_of(hour), base::Quantity::gravity, sg(hour)});
    }
    return world;
}

double hours_of(const World& world, double unix_s) {
    return (unix_s - base::unix_seconds(world.begin)) / 3600;
}

TEST(FermentPeers, ALineGoesOnAsItWent) {
    World world = read_faultlessly(60, [](double hour) { return 1.050 - 0.0005 * hour; });
    world.told_final_sg = 1.010;

    const Forecast line = two_day_line(world, world.time_of(60));
    EXPECT_NEAR(line.now->value, 1.020, 1e-9);
    EXPECT_NEAR(hours_of(world, line.finish->value), 79, 1e-6);  // at 1.0105
    EXPECT_EQ(last_reading(world, world.time_of(60)).final->value, 1.020);
}

/// Readings of the curve itself, of any asymmetry: what is left is within the prior's pull.
TEST(FermentPeers, TheFitFindsACurveOfItsOwnForm) {
    for (const double s : {0.5, 1.0, 2.0}) {
        constexpr double b = 0.08, m = 50, drop = 0.040;
        const auto left = [=](double hour) { return std::pow(1 + std::exp(b * (hour - m)), -s); };
        World world =
            read_faultlessly(200, [=](double hour) { return 1.050 - drop * (1 - left(hour) / left(0)); });
        world.terminal_sg = 1.010;
        const Timestamp at = world.time_of(world.hour_of_share(0.8).value());
        const double end = world.hour_within(end_sg).value();

        const Forecast fit = five_parameter_fit(world, at);
        EXPECT_NEAR(hours_of(world, fit.finish->value), end, 6) << s;
        EXPECT_NEAR(fit.final->value, world.terminal_sg, 0.0015) << s;
        EXPECT_LT(hours_of(world, fit.finish->low), end) << s;
        EXPECT_GT(hours_of(world, fit.finish->high), end) << s;
    }
}

/// At half of the pace the same thermal hours take twice as long.
TEST(FermentPeers, TheFitKnowsThatColdIsSlow) {
    const auto curve = [](double hour) { return 1.010 + 0.040 / (1 + std::exp(0.08 * (hour - 50))); };
    World warm = read_faultlessly(70, curve);
    World planned = warm;
    planned.planned.push_back({planned.time_of(71), base::StageKind::ferment, 12});

    const double finish = five_parameter_fit(warm, warm.time_of(70)).finish->value;
    EXPECT_GT(five_parameter_fit(planned, planned.time_of(70)).finish->value, finish + 3600 * 15);
}

TEST(FermentLines, AMedianMustBeLessThanEveryOthers) {
    Ledger ledger;
    const auto answer = [](double value) { return base::Estimate{value, value - 5, value + 5}; };
    const base::Estimate ours = answer(103);
    const judging::Answer beside{.truth = 100, .world = "one"};
    ledger.look("finish_time at 60 %, gompertz", &ours, beside);
    ledger.look_beside(fit_method, "finish_time at 60 %, gompertz", answer(104), beside);
    const auto met = [&] { return lines_of(ledger).front().met; };

    EXPECT_TRUE(met());
    ledger.look_beside(line_method, "finish_time at 60 %, gompertz", answer(102), beside);
    EXPECT_FALSE(met());
}

TEST(FermentLines, FinishedMustBeToldOfEveryOne) {
    Ledger ledger;
    for (int world = 0; world < 30; ++world) ledger.note("finished within 48 h, gompertz", {true, 20, "one"});
    EXPECT_TRUE(lines_of(ledger).front().met);

    ledger.note("finished within 48 h, gompertz", {false, std::numeric_limits<double>::infinity(), "never"});
    EXPECT_FALSE(lines_of(ledger).front().met);
}

}  // namespace
}  // namespace gyled::ferment_worlds
