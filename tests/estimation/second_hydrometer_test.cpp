/// The pressure of a shut vessel as evidence of the gravity, on the virtual vessel, whose gas laws,
/// solubility and kinetics are its own.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "daemon/base/units.hpp"
#include "daemon/estimation/batch_estimator.hpp"
#include "daemon/estimation/gas/gas_made.hpp"
#include "daemon/estimation/gravity/gas_record.hpp"
#include "sensors/virtual_vessel/plant/instruments.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::HeadSpace;
using base::Quantity;
using virtual_vessel::Plant;
using virtual_vessel::Scenario;

/// Shut with three to five points left, in a vessel that bears it.
Scenario shut_early(std::uint64_t seed) {
    Scenario s = virtual_vessel::scenario_named("sealed-ferment", seed).value();
    s.stages.back().start_hours -= 4;
    s.duration_hours = s.stages.back().start_hours + 5 * 24;
    s.vessel.relief_pressure_kpa = s.vessel.working_pressure_kpa = 1000;
    return s;
}
double shut_h(const Scenario& s) {
    return s.stages.back().start_hours;
}

// ---- gas made

gas::GasContext vessel_of(const Scenario& s) {
    gas::GasContext context;
    context.total_volume_l = s.vessel.total_volume_l;
    context.beer_volume_l = s.volume_l;
    return context;
}

/// The plant's truth over five minutes, through a perfect gauge.
void step(gas::GasMade& made, Plant& plant, HeadSpace mode, double let_off_kpa = 0) {
    gas::GasStep step;
    step.from = plant.time();
    plant.advance(5min);
    step.to = plant.time();
    const virtual_vessel::Truth& truth = plant.truth();
    step.beer_c = truth.beer_c;
    step.ambient = base::Pressure::from_kpa_absolute(truth.ambient_kpa);
    step.head_kpa = truth.head_pressure_kpa - let_off_kpa;
    step.head_space = mode;
    made.take(step, mode == HeadSpace::sealed,
              truth.ambient_kpa + *step.head_kpa - brewing::vapour_pressure(truth.beer_c).kpa_absolute());
}

TEST(GasMade, TellsByHowMuchTheGravityOfAShutVesselFell) {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        Plant plant{shut_early(seed)};
        gas::GasMade made{vessel_of(plant.scenario())};
        plant.advance(base::hours(shut_h(plant.scenario())));
        double began_sg = 0;
        for (int i = 0; i < 3 * 24 * 12; ++i) {
            step(made, plant, HeadSpace::sealed);
            if (made.made() && began_sg == 0) began_sg = plant.truth().sg;
        }
        ASSERT_TRUE(made.made()) << seed;
        const double points = 1000 * (began_sg - plant.truth().sg);
        ASSERT_GT(points, 1.5) << seed;
        // Half a volume a point (common practice); solubility, head space and yield leave a tenth.
        EXPECT_NEAR(made.made()->volumes / 0.5, points, 0.12 * points) << seed;
    }
}

TEST(GasMade, TellsNothingOfAVesselThatIsNotShut) {
    Plant plant{shut_early(1)};
    gas::GasMade made{vessel_of(plant.scenario())};
    for (int i = 0; i < 24 * 12; ++i) step(made, plant, HeadSpace::vented);
    EXPECT_FALSE(made.made());
}

/// 30 kPa let off are no fall of the gravity, nor is what the beer gives off to make them good.
TEST(GasMade, BeginsAnewWhenGasWasLetOff) {
    Plant plant{shut_early(2)};
    gas::GasMade made{vessel_of(plant.scenario())};
    plant.advance(base::hours(shut_h(plant.scenario())));
    for (int i = 0; i < 12 * 12; ++i) step(made, plant, HeadSpace::sealed);
    ASSERT_TRUE(made.made());
    const auto first = made.made()->since;
    step(made, plant, HeadSpace::sealed, 30);
    EXPECT_FALSE(made.made());
    for (int i = 0; i < 8 * 12; ++i) step(made, plant, HeadSpace::sealed, 30);
    ASSERT_TRUE(made.made());
    EXPECT_GT(made.made()->since, first + 12h);
}

// ---- the record of it

gravity::GasPoint fallen(double hour, double points) {
    return {hour, {}, points, false};
}

TEST(GasRecord, TellsTheFallWithinOneSpanOnly) {
    gravity::GasRecord record;
    for (int hour = 11; hour <= 30; ++hour) record.take(fallen(10, 0), fallen(hour, 0.1 * (hour - 10)));
    EXPECT_NEAR(record.fall(20, 30).value(), 1.0, 1e-9);
    EXPECT_FALSE(record.fall(5, 30)) << "before the valves were shut";
    EXPECT_NEAR(record.recent_fall(100, 30).value(), 2.0, 1e-9);
    EXPECT_FALSE(record.span(40)) << "it has not spoken for ten hours";

    record.take(fallen(25, 0), fallen(31, 0.3));
    EXPECT_EQ(record.points().back().hour, 30) << "a span that began within another: the clock was set";
    record.take(fallen(40, 0), fallen(41.5, 0.3));
    EXPECT_FALSE(record.fall(20, 41.5)) << "a valve was turned in between";
    EXPECT_EQ(record.span(41.5)->begin_h, 40);
}

TEST(GasRecord, StaysBoundedAndForgetsWhatLeaked) {
    gravity::GasRecord record;
    for (int hour = 1; hour < 2000; ++hour) record.take(fallen(0, 0), fallen(hour, 0.001 * hour));
    EXPECT_LE(record.points().size(), gravity::GasRecord::most_points);
    EXPECT_TRUE(record.points().front().begins);
    EXPECT_NEAR(record.fall(1990, 1999).value(), 0.009, 1e-9);

    record.distrust();
    EXPECT_TRUE(record.points().empty());
    record.take(fallen(0, 0), fallen(2000, 2));
    EXPECT_TRUE(record.points().empty()) << "the same span";
    record.take(fallen(2001, 0), fallen(2003, 0.1));
    EXPECT_FALSE(record.points().empty());
}

// ---- both together

BatchContext batch_of(const Scenario& s) {
    BatchContext context;
    context.total_volume_l = s.vessel.total_volume_l;
    context.beer_volume_l = s.volume_l;
    context.gravity.culture = s.culture;
    context.gravity.original_gravity = s.original_gravity;
    context.gravity.expected_final_gravity = virtual_vessel::expected_final_gravity(s);
    return context;
}

/// What is believed so many hours after the vessel was shut; `seen`: what becomes of a reading of the float.
struct Watched {
    base::Estimates estimates;
    std::vector<Fact> facts;
    virtual_vessel::Truth truth;
};
using Float = std::function<std::optional<double>(double hours, double sg)>;
Watched watch(const Scenario& s, double after_h, const Float& seen) {
    const auto until = base::hours(shut_h(s) + after_h);
    BatchEstimator estimator{batch_of(s), s.begin};
    for (const auto& stage : s.stages)
        estimator.enter({s.begin + base::hours(stage.start_hours), stage.kind, stage.head_space, {}, {}});
    for (const auto& sample : virtual_vessel::record(s).samples) {
        if (sample.taken > s.begin + until) continue;
        const auto value = sample.quantity == Quantity::gravity
                               ? seen(base::hours_between(s.begin, sample.taken), sample.value)
                               : std::optional{sample.value};
        if (value) estimator.observe(sample.quantity, sample.taken, *value);
    }
    estimator.advance(s.begin + until);
    Plant plant{s};
    plant.advance(until);
    return {estimator.latest().estimates, estimator.facts(), plant.truth()};
}

double attenuation_of(const virtual_vessel::Truth& truth) {
    return brewing::apparent_attenuation_percent(
        brewing::extracts_from(brewing::Gravities{truth.original_gravity, truth.sg}));
}

TEST(SecondHydrometer, KnowsTheAttenuationWithoutAFloat) {
    std::vector<double> off;
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        const Watched w = watch(shut_early(seed), 72, [](double, double) { return std::nullopt; });
        const base::Estimate& told = w.estimates.at(Quantity::apparent_attenuation);
        const double truth = attenuation_of(w.truth);
        off.push_back(std::abs(told.value - truth));
        EXPECT_LE(told.low, truth) << seed;
        EXPECT_GE(told.high, truth) << seed;
        EXPECT_LT(told.high - told.low, 22) << seed << ": the plan alone leaves 25";
    }
    std::ranges::sort(off);
    EXPECT_LT(off[2], 3) << "in the middle of five";
}

TEST(SecondHydrometer, IsBelievedWhereAFloatSticks) {
    const Scenario s = shut_early(1);
    double held = 0;
    const Watched w = watch(s, 72, [&](double hours, double sg) -> std::optional<double> {
        if (hours < shut_h(s)) held = sg;
        return hours < shut_h(s) ? sg : held + 0.0003 * std::sin(hours);
    });
    const double left_by_float = held - w.truth.sg;
    ASSERT_GT(left_by_float, 0.003) << "so much the float hides";
    EXPECT_NEAR(w.estimates.at(Quantity::gravity_now).value, w.truth.sg, 0.4 * left_by_float);
    for (const Fact& fact : w.facts)
        EXPECT_FALSE(fact.kind == FactKind::fermentation_stalled && !fact.revoked) << fact.evidence;
}

}  // namespace
}  // namespace gyled::estimation
