#include "daemon/estimation/batch_estimator.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::HeadSpace;
using base::Quantity;
using base::StageKind;

Timestamp at(Duration after) {
    return Timestamp{Duration{1'772'388'000'000}} + after;
}

struct Reading {
    Quantity quantity;
    Timestamp at;
    double value;
};

BatchContext mild() {
    BatchContext context;
    context.total_volume_l = 26;
    context.beer_volume_l = 21;
    context.gravity.original_gravity = 1.042;
    context.target_co2_volumes = 2.2;
    return context;
}

std::vector<StageEntry> fermented_under_pressure() {
    return {{at(0min), StageKind::ferment, HeadSpace::vented, {}, {}},
            {at(30h), StageKind::ferment, HeadSpace::spunded, 80.0, {}}};
}

/// A reading a minute of temperature and pressure, one each five minutes of gravity: noisy, falling, spunded.
std::vector<Reading> life_of(Duration from, Duration to) {
    std::mt19937 random{5};
    std::normal_distribution<double> noise{0, 1};
    std::vector<Reading> readings;
    for (Duration t = from; t < to; t += 1min) {
        const double hours = static_cast<double>(t.count()) / 3.6e6;
        readings.push_back({Quantity::beer_temperature, at(t + 3s), 19 + 0.05 * noise(random)});
        const double kpa = hours < 30 ? 0.2 : std::min(80.0, 4 * (hours - 30));
        readings.push_back({Quantity::head_pressure, at(t + 17s), kpa + 0.2 * noise(random)});
        if (t % 5min == 0s) {
            const double sg = 1.010 + 0.032 / (1 + std::exp((hours - 36) / 9));
            readings.push_back({Quantity::gravity, at(t + 40s), sg + 0.0005 * noise(random)});
        }
    }
    return readings;
}

void feed(BatchEstimator& estimator, const std::vector<Reading>& readings) {
    for (const Reading& r : readings) estimator.observe(r.quantity, r.at, r.value);
}

struct Belief {
    EstimateSet latest;
    std::vector<std::pair<FactKind, Timestamp>> facts;
    friend bool operator==(const Belief&, const Belief&) = default;
};
Belief belief_of(const BatchEstimator& estimator) {
    Belief belief{estimator.latest(), {}};
    for (const Fact& fact : estimator.facts()) belief.facts.emplace_back(fact.kind, fact.at);
    return belief;
}

TEST(Belief, GoesOnWhileTheHeadSpaceIsTestedAndEndsWhenTheVesselIsCleaned) {
    for (const auto& [kind, is_believed] : {std::pair{StageKind::tightness, true},
                                            {StageKind::purge, true},
                                            {StageKind::clean, false},
                                            {StageKind::rinse, false},
                                            {StageKind::sanitise, false}}) {
        BatchEstimator estimator{mild(), at(0min)};
        estimator.set_stages({{at(0min), StageKind::ferment, HeadSpace::vented, {}, {}},
                              {at(20h), kind, HeadSpace::sealed, {}, {}}});
        feed(estimator, life_of(0h, 22h));
        (void)estimator.advance(at(22h));
        EXPECT_EQ(estimator.latest().estimates.contains(Quantity::co2_volumes), is_believed)
            << base::name(kind);
    }
}

/// A new estimator that is told everything at once, in order of event time.
Belief anew(const BatchContext& context, Duration started, const std::vector<StageEntry>& stages,
            const std::vector<Reading>& readings, Duration now) {
    BatchEstimator estimator{context, at(started)};
    for (const StageEntry& stage : stages) estimator.enter(stage);
    feed(estimator, readings);
    estimator.advance(at(now));
    return belief_of(estimator);
}

constexpr Duration four_days = 96h;

TEST(BatchEstimator, ARestartEndsInTheVeryNumbersOfTheRunThatWasNeverCut) {
    const std::vector<Reading> readings = life_of(0min, four_days);
    BatchEstimator live{mild(), at(0min)};
    for (const StageEntry& stage : fermented_under_pressure()) live.enter(stage);
    Timestamp next = at(15min);
    for (const Reading& r : readings) {
        for (; r.at >= next; next += 15min) live.advance(next);
        live.observe(r.quantity, r.at, r.value);
    }
    live.advance(at(four_days));

    const Belief restarted = anew(mild(), 0min, fermented_under_pressure(), readings, four_days);

    EXPECT_EQ(belief_of(live), restarted);
    EXPECT_TRUE(restarted.latest.estimates.contains(Quantity::co2_volumes));
    EXPECT_FALSE(restarted.facts.empty());
}

TEST(BatchEstimator, ReadingsThatComeLateAndInDisorderLeaveNoTrace) {
    const Duration now = 60h;
    const std::vector<Reading> readings = life_of(0min, now);
    std::vector<Reading> disorder = readings;
    std::mt19937 random{11};
    // Each block of some hours comes shuffled, and two blocks come late: one by 12 and one by 40 hours.
    constexpr std::size_t block = 1000;
    for (std::size_t i = 0; i + block < disorder.size(); i += block)
        std::shuffle(disorder.begin() + static_cast<std::ptrdiff_t>(i),
                     disorder.begin() + static_cast<std::ptrdiff_t>(i + block), random);
    std::rotate(disorder.begin() + 2000, disorder.begin() + 2400, disorder.end());
    std::rotate(disorder.begin() + 4000, disorder.begin() + 4200, disorder.begin() + 5600);
    BatchEstimator live{mild(), at(0min)};
    for (const StageEntry& stage : fermented_under_pressure()) live.enter(stage);
    Timestamp newest = at(0min);
    for (std::size_t i = 0; i < disorder.size(); ++i) {
        live.observe(disorder[i].quantity, disorder[i].at, disorder[i].value);
        newest = std::max(newest, disorder[i].at);
        if (i % 500 == 0) live.advance(newest);
    }
    live.advance(at(now));

    EXPECT_EQ(belief_of(live), anew(mild(), 0min, fermented_under_pressure(), readings, now));
}

TEST(BatchEstimator, AdvancesInSlicesToTheSameEnd) {
    const Duration now = 30h;
    const std::vector<Reading> readings = life_of(0min, now);
    BatchEstimator sliced{mild(), at(0min)};
    for (const StageEntry& stage : fermented_under_pressure()) sliced.enter(stage);
    feed(sliced, readings);
    std::size_t steps = 0;
    while (sliced.is_behind(at(now))) {
        const std::size_t done = sliced.advance(at(now), 7).size();
        EXPECT_LE(done, 7U);
        steps += done;
        EXPECT_EQ(sliced.latest().estimates.empty(), steps < 120) << "a slice is no belief of now";
    }

    EXPECT_EQ(steps, 120U);
    EXPECT_EQ(belief_of(sliced), anew(mild(), 0min, fermented_under_pressure(), readings, now));
}

class Corrections : public testing::Test {
protected:
    Corrections() : readings{life_of(-10h, now)} {
        for (const StageEntry& stage : fermented_under_pressure()) estimator.enter(stage);
        feed(estimator, readings);
        estimator.advance(at(now));
    }
    const Duration now = 48h;
    std::vector<Reading> readings;
    BatchEstimator estimator{mild(), at(0min)};
};

TEST_F(Corrections, OfTheOriginalGravityGiveWhatANewEstimatorGives) {
    BatchContext corrected = mild();
    corrected.gravity.original_gravity = 1.046;
    corrected.beer_volume_l = 19;

    estimator.correct(corrected);
    EXPECT_TRUE(estimator.is_behind(at(now)));
    estimator.advance(at(now));

    EXPECT_EQ(belief_of(estimator), anew(corrected, 0min, fermented_under_pressure(), readings, now));
    EXPECT_NE(belief_of(estimator), anew(mild(), 0min, fermented_under_pressure(), readings, now));
}

/// Readings from before the batch began lie in wait.
TEST_F(Corrections, OfTheStartToEarlierFindTheReadingsFromBefore) {
    std::vector<StageEntry> stages = fermented_under_pressure();
    stages[0].at = at(-10h);

    estimator.set_started(at(-10h));
    estimator.set_stages(stages);
    estimator.advance(at(now));

    EXPECT_EQ(belief_of(estimator), anew(mild(), -10h, stages, readings, now));
}

TEST_F(Corrections, OfAStageTimeGoBackToIt) {
    std::vector<StageEntry> stages = fermented_under_pressure();
    stages[1].at = at(26h);
    stages[1].head_pressure_kpa = 60;

    estimator.set_stages(stages);
    estimator.advance(at(now));

    EXPECT_EQ(belief_of(estimator), anew(mild(), 0min, stages, readings, now));
}

TEST_F(Corrections, UndoAHandMeasurement) {
    const Belief before = belief_of(estimator);
    estimator.measure(Quantity::gravity, at(40h), 1.030);
    estimator.measure(Quantity::gravity, at(44h), 1.028);
    estimator.advance(at(now));
    EXPECT_NE(belief_of(estimator), before);

    estimator.set_measurements(Quantity::gravity, {});
    estimator.advance(at(now));

    EXPECT_EQ(belief_of(estimator), before);
}

TEST_F(Corrections, AHandMeasurementOfCo2IsBelieved) {
    const auto before = estimator.latest().estimates.at(Quantity::co2_volumes);
    estimator.measure(Quantity::co2_volumes, at(46h), before.value + 0.3);
    estimator.advance(at(now));

    const auto after = estimator.latest().estimates.at(Quantity::co2_volumes);
    EXPECT_GT(after.value, before.value + 0.03);
}

TEST_F(Corrections, AForcedFermentIsBelievedUntilItIsTakenBack) {
    const auto end = [&] { return estimator.latest().estimates.at(Quantity::final_gravity); };
    const auto before = end();
    estimator.set_measurements(Quantity::forced_final_gravity, {{at(40h), 1.0105}});
    estimator.advance(at(now));
    EXPECT_LT(end().high - end().low, before.high - before.low);
    EXPECT_NEAR(end().value, 1.011, 0.001);

    estimator.set_measurements(Quantity::forced_final_gravity, {});
    estimator.advance(at(now));

    EXPECT_EQ(end(), before);
}

TEST(BatchEstimator, TellsWhichHandMeasurementsItUses) {
    EXPECT_TRUE(BatchEstimator::uses(Quantity::forced_final_gravity));
    EXPECT_TRUE(BatchEstimator::uses(Quantity::gravity));
    EXPECT_TRUE(BatchEstimator::uses(Quantity::co2_volumes));
    EXPECT_TRUE(BatchEstimator::uses(Quantity::head_pressure));
    EXPECT_TRUE(BatchEstimator::uses(Quantity::purge_cycles));
    EXPECT_FALSE(BatchEstimator::uses(Quantity::jacket_temperature));
    EXPECT_FALSE(BatchEstimator::uses(Quantity::beer_temperature));
}

TEST(Gap, OfYearsIsPassedInOneStepAndSlicesChangeNothing) {
    const auto readings = life_of(0h, 60h);
    const auto after = life_of(24h * 365 * 30, 24h * 365 * 30 + 6h);
    const auto live = [&](Duration slice) {
        BatchEstimator estimator{mild(), at(0h)};
        for (const StageEntry& stage : fermented_under_pressure()) estimator.enter(stage);
        feed(estimator, readings);
        std::size_t told = 0;
        for (Duration t = 24h; t < 24h * 365 * 30; t += slice) told += estimator.advance(at(t)).size();
        told += estimator.advance(at(24h * 365 * 30)).size();
        feed(estimator, after);
        told += estimator.advance(at(24h * 365 * 30 + 6h)).size();
        EXPECT_LT(told, 4U * 24 * 35 + 24 * 365 * 30h / slice);
        return belief_of(estimator);
    };
    const Belief in_one_go = live(24h * 365 * 40);
    EXPECT_EQ(in_one_go, live(24h * 100));
    EXPECT_EQ(in_one_go.latest.at, at(24h * 365 * 30 + 6h));
    EXPECT_FALSE(in_one_go.latest.estimates.empty()) << "there is word again";
}

TEST(Gap, OfAMonthIsBelievedThrough) {
    BatchEstimator estimator{mild(), at(0h)};
    for (const StageEntry& stage : fermented_under_pressure()) estimator.enter(stage);
    feed(estimator, life_of(0h, 60h));
    (void)estimator.advance(at(60h + 24h * 29));
    EXPECT_FALSE(estimator.latest().estimates.empty());
    (void)estimator.advance(at(60h + 24h * 31));
    EXPECT_TRUE(estimator.latest().estimates.empty()) << "nobody could know";
}

TEST(Gap, AfterOneOfYearsALoneReadingIsNotBelievedForAMonth) {
    BatchEstimator estimator{mild(), at(0h)};
    for (const StageEntry& stage : fermented_under_pressure()) estimator.enter(stage);
    feed(estimator, life_of(0h, 60h));
    const Duration later = 24h * 365;
    (void)estimator.advance(at(later));
    estimator.observe(Quantity::beer_temperature, at(later + 1min), 19);

    EXPECT_FALSE(estimator.advance(at(later + 2h)).back().estimates.empty());
    EXPECT_TRUE(estimator.advance(at(later + 48h)).back().estimates.empty());
    feed(estimator, life_of(later + 48h, later + 96h));
    EXPECT_FALSE(estimator.advance(at(later + 24h * 30)).back().estimates.empty())
        << "two days of word are enough";
}

TEST(SetBack, AfterAYearAheadOnlyTheLastHourIsBelievedAnew) {
    BatchEstimator estimator{mild(), at(0h)};
    for (const StageEntry& stage : fermented_under_pressure()) estimator.enter(stage);
    feed(estimator, life_of(0h, 240h));
    (void)estimator.advance(at(240h));
    const Duration year = 24h * 365;
    estimator.set_forward(at(240h + year));
    (void)estimator.advance(at(242h + year));

    estimator.set_back(at(242h));
    EXPECT_LE(estimator.advance(at(242h)).size(), 12u);
}

TEST(SetBack, ForgetsWhatIsYetToComeAndGoesOn) {
    BatchEstimator estimator{mild(), at(0h)}, plain{mild(), at(0h)};
    for (BatchEstimator* each : {&estimator, &plain}) {
        for (const StageEntry& stage : fermented_under_pressure()) each->enter(stage);
        feed(*each, life_of(0h, 48h));
        (void)each->advance(at(48h));
    }
    feed(estimator, life_of(24h * 365, 24h * 365 + 5h));
    (void)estimator.advance(at(24h * 365 + 5h));

    estimator.set_back(at(48h));
    for (BatchEstimator* each : {&estimator, &plain}) {
        feed(*each, life_of(48h, 60h));
        (void)each->advance(at(60h));
    }
    EXPECT_EQ(belief_of(estimator), belief_of(plain));
}

}  // namespace
}  // namespace gyled::estimation
