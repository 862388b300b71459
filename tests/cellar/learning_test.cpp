/// A finished batch teaches the next one of its culture.

#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"
#include "tests/cellar/kept.hpp"
#include "tests/estimation/vessel_of_moles.hpp"

namespace gyled::cellar {
namespace {

/// Lives through one ale of the house culture, from pitching until it has finished; its record at the end.
batch::Record one_batch(Cellar& core, Duration begin) {
    batch::Plan plan = mild();
    plan.culture_name = "harbour house";
    plan.expected_final_gravity.reset();  // the recipe says nothing: the culture must
    plan.stages[0].start = at(begin);
    (void)core.advance_to(at(begin));
    EXPECT_TRUE(core.accept(StartBatch{plan, at(begin), {}}).problems.empty());
    for (sensors::Reading r : an_ale(0h, 240h)) {
        r.at = r.arrived = r.at + begin;
        if (r.at > core.now()) (void)core.advance_to(r.at);
        (void)core.accept(r);
    }
    return core.accept(EndBatch{"north", core.now(), "kegs are full"}).batches.back();
}

TEST(Learning, EachBatchBeginsWithWhatTheOnesBeforeItTaught) {
    Cellar core{harbour()};

    const batch::Record first = one_batch(core, 0h);
    const auto after_one = core.learned();
    const batch::Record second = one_batch(core, 300h);
    (void)one_batch(core, 600h);
    const auto after_three = core.learned();

    ASSERT_TRUE(after_one.contains("harbour house"));
    EXPECT_EQ(first.prior, std::nullopt);
    EXPECT_EQ(second.prior, after_one.at("harbour house"));
    EXPECT_EQ(after_one.at("harbour house").batches, 1);
    EXPECT_EQ(after_three.at("harbour house").batches, 3);
}

/// The harbour with a second vessel beside the first.
CellarSpec two_vessels() {
    CellarSpec spec = harbour();
    spec.vessels.push_back(spec.vessels.front());
    spec.vessels.back().id = "south";
    for (const auto& sensor : harbour().sensors)
        spec.sensors.push_back({"south_" + sensor.id, "south", sensor.quantity, sensor.silent_after});
    return spec;
}

Effects start_in(Cellar& core, const std::string& vessel) {
    batch::Plan plan = mild();
    plan.vessel = vessel;
    plan.culture_name = "harbour house";
    plan.expected_final_gravity.reset();
    plan.stages[0].start = core.now();
    return core.accept(StartBatch{plan, core.now(), {}});
}

void live_through_an_ale(Cellar& core, const std::vector<std::string>& vessels, Duration begin) {
    for (sensors::Reading r : an_ale(0h, 240h)) {
        r.at = r.arrived = r.at + begin;
        if (r.at > core.now()) (void)core.advance_to(r.at);
        for (const std::string& vessel : vessels) {
            r.vessel = vessel;
            r.sensor = vessel == "north" ? std::string{base::name(r.quantity)}
                                         : "south_" + std::string{base::name(r.quantity)};
            (void)core.accept(r);
        }
    }
}

TEST(Learning, OfACultureIsForgottenWhenAPersonSaysSo) {
    Cellar core{harbour()};
    EXPECT_FALSE(core.accept(ForgetCulture{"harbour house", core.now()}).problems.empty()) << "nothing yet";
    (void)one_batch(core, 0h);

    EXPECT_EQ(core.accept(ForgetCulture{"harbour house", core.now()}).answers.size(), 1u);
    EXPECT_EQ(core.learned().at("harbour house"), estimation::LearnedCurve{}) << "the store forgets, too";
    EXPECT_FALSE(core.accept(ForgetCulture{"harbour house", core.now()}).problems.empty()) << "once";
    (void)one_batch(core, 300h);
    EXPECT_EQ(core.learned().at("harbour house").batches, 1) << "learnt anew";
}

TEST(Learning, TwoBatchesThatFermentSideBySideBothTeach) {
    Cellar core{two_vessels()};
    (void)core.advance_to(at(0h));
    (void)start_in(core, "north");
    (void)start_in(core, "south");
    live_through_an_ale(core, {"north", "south"}, 0h);

    (void)core.accept(EndBatch{"south", core.now(), ""});
    const auto after_one = core.learned();
    (void)core.accept(EndBatch{"north", core.now(), ""});

    ASSERT_TRUE(after_one.contains("harbour house"));
    EXPECT_EQ(after_one.at("harbour house").batches, 1);
    EXPECT_EQ(core.learned().at("harbour house").batches, 2) << "the later did not put the earlier aside";
}

/// Finished beer in the north vessel: two and a half days on gas, then shut for a day and a half.
void carbonate(Cellar& core, Kept& store, Duration begin) {
    using Vessel = tests::VesselOfMoles;
    constexpr Duration on_gas = 60h, shut = 36h;
    constexpr double set_kpa = 110;
    batch::Plan plan = mild();
    plan.stages.resize(2);
    plan.stages[0] = {};
    plan.stages[0].kind = StageKind::carbonate;
    plan.stages[0].head_space = HeadSpace::supplied;
    plan.stages[0].head_pressure_kpa = set_kpa;
    plan.stages[1] = {};
    plan.stages[1].kind = StageKind::condition;
    plan.stages[1].head_space = HeadSpace::sealed;
    plan.stages[1].start = at(begin + on_gas);
    (void)core.advance_to(at(begin));
    store.keep(core.accept(StartBatch{plan, at(begin), {}, Consent::past}), core);
    Vessel vessel{{.kla_per_h = 0.03}, 0.9, 4};
    for (int cycle = 0; cycle < 6; ++cycle) vessel.fill_to(150), vessel.let_off();
    for (Duration t = 0h; t < on_gas + shut; t += 5min) {
        for (int minute = 0; minute < 5; ++minute)
            vessel.step(1.0 / 60, 0, t < on_gas ? Vessel::Opening::supply : Vessel::Opening::none, set_kpa);
        store.keep(core.advance_to(at(begin + t)), core);
        for (const auto& one : {reading(Quantity::beer_temperature, begin + t, 4),
                                reading(Quantity::head_pressure, begin + t, vessel.gauge_kpa())})
            store.keep(core.accept(one), core);
    }
}

std::optional<estimation::gas::LearnedUptake> uptake_of(const Cellar& core) {
    return core.states().back().uptake;
}

/// How fast beer takes up gas belongs to the vessel: it outlives batch and restart, until it is told to go.
TEST(Learning, AVesselIsKnownByItsCarbonations) {
    Cellar core{harbour()};
    Kept store;
    carbonate(core, store, 0h);
    EXPECT_FALSE(uptake_of(core)) << "the batch may be corrected yet";
    store.keep(core.accept(EndBatch{"north", core.now(), ""}), core);
    const auto learned = uptake_of(core);
    ASSERT_TRUE(learned);
    EXPECT_NEAR(learned->litres_per_h, 0.03 * 21, 0.2);

    core = store.restarted(harbour());
    EXPECT_EQ(uptake_of(core), learned);
    carbonate(core, store, 120h);
    EXPECT_EQ(core.states().back().batch->uptake, learned);
    core = store.restarted(harbour());
    const auto width = [&] {
        const auto& told = core.vessel("north")->estimates.at(Quantity::co2_volumes);
        return told.high - told.low;
    };
    const double known = width();

    EXPECT_FALSE(core.accept(ForgetVessel{"north", core.now()}).answers.empty());
    EXPECT_FALSE(uptake_of(core));
    EXPECT_FALSE(core.states().back().batch->uptake);
    EXPECT_GT(width(), known) << "the running batch believes nothing of it either";
    EXPECT_FALSE(core.accept(ForgetVessel{"nowhere", core.now()}).problems.empty());
}

TEST(Learning, ABatchThatHasFinishedTeachesTheNeighbourBeforeItHasEnded) {
    Cellar core{two_vessels()};
    (void)core.advance_to(at(0h));
    (void)start_in(core, "north");
    live_through_an_ale(core, {"north"}, 0h);

    const Effects effects = start_in(core, "south");

    ASSERT_EQ(effects.batches.size(), 1U);
    ASSERT_TRUE(effects.batches.front().prior.has_value());
    EXPECT_EQ(effects.batches.front().prior->batches, 1);
    EXPECT_TRUE(core.learned().empty()) << "it still stands, and may be corrected";
}

}  // namespace
}  // namespace gyled::cellar
