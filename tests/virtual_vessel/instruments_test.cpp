#include "sensors/virtual_vessel/plant/instruments.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::virtual_vessel {
namespace {

using namespace std::chrono_literals;

/// Two days of one instrument on a finished, quiet beer.
Scenario quiet(SensorOptions options) {
    Scenario s = set_and_wait(1);
    s.duration_hours = 48;
    s.sensors = {options};
    return s;
}

std::vector<double> values(const Recording& r) {
    std::vector<double> out;
    for (const Sample& sample : r.samples) out.push_back(sample.value);
    return out;
}
double mean(const std::vector<double>& v) {
    return std::accumulate(v.begin(), v.end(), 0.0) / double(v.size());
}
double deviation(const std::vector<double>& v) {
    const double m = mean(v);
    double sum = 0;
    for (const double x : v) sum += (x - m) * (x - m);
    return std::sqrt(sum / double(v.size()));
}

TEST(Instruments, ReadOnTheirCadence) {
    const Recording r = record(quiet({.quantity = Quantity::gravity, .cadence_s = 300}));
    ASSERT_EQ(r.samples.size(), 48u * 12 + 1);
    for (std::size_t i = 1; i < r.samples.size(); ++i)
        EXPECT_EQ(r.samples[i].taken - r.samples[i - 1].taken, Duration{5min});
}

TEST(Instruments, WithoutFaultsShowTheTruth) {
    const Recording r = record(quiet({.quantity = Quantity::gravity, .cadence_s = 300}), 5min);
    for (const Sample& sample : r.samples) ASSERT_EQ(sample.value, r.truths.front().sg);
}

TEST(Instruments, NoiseBiasDriftAndStepAreWhatWasAskedFor) {
    const double truth = Plant{set_and_wait(1)}.truth().sg;
    const auto noisy = values(record(quiet({.quantity = Quantity::gravity, .noise = 0.001})));
    EXPECT_NEAR(mean(noisy), truth, 0.0001);
    EXPECT_NEAR(deviation(noisy), 0.001, 0.00006);

    const auto biased = values(record(quiet({.quantity = Quantity::gravity, .bias = -0.003})));
    EXPECT_NEAR(mean(biased), truth - 0.003, 1e-9);

    const auto drifting = values(record(quiet({.quantity = Quantity::gravity, .drift_per_day = 0.001})));
    EXPECT_NEAR(drifting.back() - drifting.front(), 0.002, 1e-6);

    for (const double v :
         values(record(quiet({.quantity = Quantity::gravity, .noise = 0.001, .step = 0.001}))))
        ASSERT_NEAR(v * 1000, std::round(v * 1000), 1e-6);
}

TEST(Instruments, KrausenLiftsAFloatAndNeverSinksIt) {
    const double truth = Plant{set_and_wait(1)}.truth().sg;
    const auto read = values(
        record(quiet({.quantity = Quantity::gravity, .outlier_probability = 0.1, .outlier_size = 0.02})));
    const auto lifted = std::ranges::count_if(read, [&](double v) { return v > truth + 0.005; });
    EXPECT_NEAR(double(lifted) / double(read.size()), 0.1, 0.03);
    EXPECT_GE(std::ranges::min(read), truth - 1e-9);

    const auto pressure = values(record(
        quiet({.quantity = Quantity::head_pressure, .outlier_probability = 0.1, .outlier_size = 500})));
    EXPECT_LT(std::ranges::min(pressure), -50);
    EXPECT_GT(std::ranges::max(pressure), 200);
}

TEST(Instruments, AFloatInFermentingBeerIsDisturbed) {
    Scenario s = ale(2);
    s.sensors = {{.quantity = Quantity::gravity, .cadence_s = 300, .gas_noise = 0.02}};
    const Recording r = record(s, 5min);
    double busy = 0;
    double calm = 0;
    for (std::size_t i = 0; i < r.samples.size(); ++i) {
        const double off = std::abs(r.samples[i].value - r.truths[i].sg);
        const double hours = base::hours_between(s.begin, r.samples[i].taken);
        if (hours > 36 && hours < 60) busy = std::max(busy, off);
        if (hours > 250) calm = std::max(calm, off);
    }
    EXPECT_GT(busy, 0.003);
    EXPECT_LT(calm, 0.0002);
}

TEST(Instruments, DropoutsLoseReadingsAndChangeNoOthers) {
    const SensorOptions whole{.quantity = Quantity::head_pressure, .noise = 1};
    SensorOptions holed = whole;
    holed.dropouts = {{10, 5}};
    const Recording all = record(quiet(whole));
    const Recording some = record(quiet(holed));

    EXPECT_EQ(all.samples.size() - some.samples.size(), 300u);
    std::map<Timestamp, double> by_time;
    for (const Sample& sample : all.samples) by_time[sample.taken] = sample.value;
    for (const Sample& sample : some.samples) ASSERT_EQ(by_time.at(sample.taken), sample.value);
}

TEST(Instruments, OutagesDelayReadingsAndLoseNone) {
    SensorOptions o{.quantity = Quantity::head_pressure};
    o.outages = {{10, 5}};
    const Scenario s = quiet(o);
    const Recording r = record(s);

    EXPECT_EQ(r.samples.size(), 48u * 60 + 1);
    const Timestamp back = s.begin + 15h;
    const auto together = std::ranges::count(r.samples, back, &Sample::arrival);
    EXPECT_GE(together, 299);
    EXPECT_TRUE(std::ranges::is_sorted(r.samples, {}, &Sample::arrival));
    for (const Sample& sample : r.samples) ASSERT_LE(sample.taken, sample.arrival);
}

TEST(Instruments, SleepersUploadInBulk) {
    const Recording r = record(quiet({.quantity = Quantity::head_pressure, .upload_every_s = 3600}));
    std::set<Timestamp> uploads;
    for (const Sample& sample : r.samples) uploads.insert(sample.arrival);
    EXPECT_GT(r.samples.size(), 46u * 60);
    EXPECT_LT(uploads.size(), 110u);
}

TEST(Instruments, SomeDeliverTwice) {
    const Recording r = record(quiet({.quantity = Quantity::head_pressure, .duplicate_probability = 0.05}));
    EXPECT_NEAR(double(r.samples.size()), 2881 * 1.05, 60);
}

TEST(Instruments, AWrongClockIsOnlyInThePayload) {
    const Recording r = record(quiet({.quantity = Quantity::head_pressure, .clock_offset_s = -3600}));
    for (const Sample& sample : r.samples) ASSERT_EQ(sample.arrival - sample.taken, Duration{1h});
}

TEST(Instruments, FallSilentOnCommandAndByTrouble) {
    Scenario s = quiet({.quantity = Quantity::head_pressure});
    s.sensors.push_back({.quantity = Quantity::beer_temperature});
    s.troubles = {{.kind = TroubleKind::sensor_dropout, .start_hours = 1, .hours = 2}};
    Plant plant{s};
    Instruments instruments{s};
    std::map<Quantity, int> heard;
    instruments.drop_out(Quantity::beer_temperature, s.begin + 5h, 1h);
    while (!plant.is_over()) {
        for (const Sample& sample : instruments.sample(plant)) ++heard[sample.quantity];
        plant.advance(1min);
    }
    EXPECT_EQ(heard[Quantity::head_pressure], 48 * 60 - 120);
    EXPECT_EQ(heard[Quantity::beer_temperature], 48 * 60 - 180);
}

TEST(Instruments, TheFloatGoesInWithTheYeast) {
    const Scenario s = whole_batch(1);
    const Recording r = record(s, 1h);
    const auto first = std::ranges::find(r.samples, Quantity::gravity, &Sample::quantity);
    ASSERT_NE(first, r.samples.end());
    EXPECT_NEAR(base::hours_between(s.begin, first->taken), 5.0, 0.3);
}

}  // namespace
}  // namespace gyled::virtual_vessel
