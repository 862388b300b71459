/// The air above the beer, and what stands or falls with it. Truth: tests/estimation/vessel_of_moles.hpp.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "daemon/brewing/water.hpp"
#include "daemon/estimation/gas/dissolved_gas.hpp"
#include "tests/estimation/vessel_of_moles.hpp"

namespace gyled::estimation::gas {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::HeadSpace;
using base::Quantity;
using base::Timestamp;
using tests::VesselOfMoles;
using Opening = VesselOfMoles::Opening;

constexpr double step_h = 1.0 / 12;

/// Wort of 12 degrees Plato: 20 volumes in a week, then cold behind the open vent, then gas.
class Watched {
public:
    explicit Watched(double noise_kpa, VesselOfMoles::Shape shape = {})
        : world{shape, 0.0, 19}, gas{context()}, noise_kpa_{noise_kpa} {}

    static GasContext context() {
        GasContext context;
        context.total_volume_l = 26;
        context.beer_volume_l = 21;
        context.target_co2_volumes = 2.3;
        context.relief_kpa = 180;
        return context;
    }

    void live(Duration span, HeadSpace mode, Opening opening, double set_kpa = 0, double made_per_h = 0,
              double reseats_kpa = 0) {
        for (const Duration end = t + span; t < end; t += 5min) {
            world.set_temperature(celsius);
            world.step(step_h, made_per_h * step_h, opening, set_kpa, reseats_kpa);
            feed(mode, set_kpa, made_per_h * step_h);
        }
    }
    void chill_to(double to_c, HeadSpace mode, Opening opening) {
        for (; celsius > to_c; celsius -= 0.1) live(10min, mode, opening);
    }
    void feed(HeadSpace mode, double set_kpa, double made) {
        GasStep step;
        step.from = Timestamp{Duration{1'772'388'000'000}} + t;
        step.to = step.from + 5min;
        step.beer_c = celsius;
        step.head_space = mode;
        step.head_kpa = world.gauge_kpa() + brewing::vapour_pressure(celsius).kpa_absolute() +
                        noise_kpa_ * normal_(random_);
        if (mode == HeadSpace::spunded || mode == HeadSpace::supplied) step.set_kpa = set_kpa;
        step.produced_volumes = made;
        step.produced_sigma = 0.1 * made;
        step.fermenting = made > 0;
        gas.step(step);
    }
    void ferment_and_crash_behind_an_open_vent() {
        live(7 * 24h, HeadSpace::vented, Opening::vent, 0, 20.0 / (7 * 24));
        live(24h, HeadSpace::vented, Opening::vent);
        chill_to(3.2, HeadSpace::vented, Opening::vent);
        live(48h, HeadSpace::vented, Opening::vent);
    }
    [[nodiscard]] const base::Estimate& told(Quantity q) const { return gas.estimates().at(q); }
    [[nodiscard]] const Fact* fact(FactKind kind) const {
        const auto found = std::ranges::find(gas.facts(), kind, &Fact::kind);
        return found == gas.facts().end() ? nullptr : &*found;
    }

    VesselOfMoles world;
    DissolvedGas gas;
    double celsius = 19;
    Duration t{};

private:
    double noise_kpa_;
    std::mt19937 random_{11};
    std::normal_distribution<double> normal_{0, 1};
};

bool holds(const base::Estimate& estimate, double truth) {
    return estimate.low <= truth && truth <= estimate.high;
}

/// A transducer's noise is no pump: with none of it and with three millibar the same is believed.
TEST(HeadSpaceAir, IsMovedByNoTransducersNoise) {
    std::vector<double> volumes, air;
    for (const double noise_kpa : {0.0, 0.1, 0.3}) {
        Watched vessel{noise_kpa};
        vessel.ferment_and_crash_behind_an_open_vent();
        vessel.live(10 * 24h, HeadSpace::supplied, Opening::supply, 80);

        const auto& c = vessel.told(Quantity::co2_volumes);
        EXPECT_TRUE(holds(c, vessel.world.volumes())) << "noise " << noise_kpa << ": " << c.low << " to "
                                                      << c.high << ", truly " << vessel.world.volumes();
        EXPECT_TRUE(holds(vessel.told(Quantity::head_space_air), vessel.world.air_percent()))
            << vessel.told(Quantity::head_space_air).value << " %, truly " << vessel.world.air_percent();
        volumes.push_back(c.value);
        air.push_back(vessel.told(Quantity::head_space_air).value);
    }
    EXPECT_NEAR(volumes[1], volumes[0], 0.03);
    EXPECT_NEAR(volumes[2], volumes[0], 0.03);
    EXPECT_NEAR(air[2], air[0], 2.0);
}

/// CO2 dissolves under its own pressure, not under that of the air beside it.
TEST(HeadSpaceAir, IsNoCarbonDioxide) {
    Watched vessel{0.1};
    vessel.ferment_and_crash_behind_an_open_vent();
    vessel.live(4 * 24h, HeadSpace::supplied, Opening::supply, 80);

    EXPECT_GT(vessel.world.air_percent(), 8) << "the crash sucked it in";
    EXPECT_TRUE(holds(vessel.told(Quantity::co2_equilibrium_volumes), vessel.world.equilibrium()))
        << vessel.told(Quantity::co2_equilibrium_volumes).low << ", truly " << vessel.world.equilibrium();
}

/// Cold flat beer that has stood behind an open vent before anybody watched: it has drawn air in.
TEST(HeadSpaceAir, IsExpectedAboveBeerThatStoodBehindAnOpenVent) {
    GasContext context = Watched::context();
    context.start = GasContext::Start::fermented;
    VesselOfMoles world{{}, 0.9, 4};
    for (int hour = 0; hour < 72; ++hour) world.step(1, 0, Opening::vent);
    DissolvedGas gas{context};
    GasStep step;
    step.from = Timestamp{Duration{1'772'388'000'000}};
    step.to = step.from + 15min;
    step.beer_c = 4;
    step.head_kpa = 0;
    gas.step(step);

    EXPECT_GT(world.air_percent(), 30);
    EXPECT_TRUE(holds(gas.estimates().at(Quantity::head_space_air), world.air_percent()))
        << gas.estimates().at(Quantity::head_space_air).value << " %, truly " << world.air_percent();
}

/// No instrument here tells none from a thousandth.
TEST(HeadSpaceAir, IsNeverToldWithoutAnyDoubt) {
    Watched vessel{0.1};
    vessel.live(7 * 24h, HeadSpace::vented, Opening::vent, 0, 20.0 / (7 * 24));

    EXPECT_EQ(vessel.told(Quantity::head_space_air).low, 0);
    EXPECT_GE(vessel.told(Quantity::head_space_air).high, 0.1);
    EXPECT_TRUE(holds(vessel.told(Quantity::head_space_air), vessel.world.air_percent()));
}

TEST(HeadSpaceAir, LeavesAPurgedVesselWithThePurge) {
    Watched vessel{0.1};
    vessel.ferment_and_crash_behind_an_open_vent();
    const double before = vessel.told(Quantity::head_space_air).value;
    for (int cycle = 0; cycle < 3; ++cycle) {
        vessel.live(15min, HeadSpace::supplied, Opening::supply, 80);
        vessel.world.let_off();
        vessel.feed(HeadSpace::supplied, 80, 0);
        vessel.t += 5min;
    }
    vessel.live(24h, HeadSpace::supplied, Opening::supply, 80);

    EXPECT_GT(before, 20);
    EXPECT_TRUE(holds(vessel.told(Quantity::head_space_air), vessel.world.air_percent()) ||
                std::abs(vessel.told(Quantity::head_space_air).value - vessel.world.air_percent()) < 1)
        << vessel.told(Quantity::head_space_air).value << " %, truly " << vessel.world.air_percent();
}

/// Cycles of a minute pass between two readings: then the person's word counts, and counts once.
TEST(HeadSpaceAir, LeavesWithAPurgeThatWasTold) {
    Watched vessel{0.1};
    vessel.ferment_and_crash_behind_an_open_vent();
    const double before = vessel.told(Quantity::head_space_air).value;
    for (int cycle = 0; cycle < 4; ++cycle) {
        vessel.world.fill_to(80);
        vessel.world.let_off();
    }
    vessel.gas.purge(4);
    vessel.live(24h, HeadSpace::supplied, Opening::supply, 80);

    const auto& air = vessel.told(Quantity::head_space_air);
    EXPECT_LT(air.value, before / 5);
    EXPECT_LE(air.low, vessel.world.air_percent());
    EXPECT_GE(air.high, vessel.world.air_percent());
    ASSERT_NE(vessel.fact(FactKind::purged), nullptr);
}

/// Oxygen: a fifth of the air. 5 L at 3 degC and 101 kPa hold 5 x 273 / 276 = 4.9 L, of which 20.95 % is
/// oxygen (composition of dry air: general knowledge, 20.95 % by volume).
TEST(HeadSpaceAir, IsToldAsOxygenToo) {
    GasContext context = Watched::context();
    DissolvedGas gas{context};
    GasStep step;
    step.from = Timestamp{Duration{1'772'388'000'000}};
    step.to = step.from + 15min;
    step.beer_c = 3;
    step.head_kpa = 0;
    gas.step(step);

    EXPECT_NEAR(gas.estimates().at(Quantity::head_space_air).value, 100, 1);
    EXPECT_NEAR(gas.estimates().at(Quantity::head_space_oxygen).value, 0.2095 * 4900, 40);
}

/// A lifting relief valve lets gas out and no air in, and the beer stays what it is.
TEST(Relief, LeavesTheBeerAsItIsAndLetsNoAirIn) {
    Watched vessel{0.2};
    vessel.live(40h, HeadSpace::vented, Opening::vent, 0, 0.15);
    int outside = 0;
    for (int hour = 0; hour < 72; ++hour) {  // the vent is blocked, the yeast is not
        vessel.live(1h, HeadSpace::vented, Opening::relief, 181, 0.1, 166);
        outside +=
            std::abs(vessel.told(Quantity::co2_volumes).value / vessel.world.volumes() - 1) > 0.10 ? 1 : 0;
    }
    EXPECT_LE(outside, 3) << vessel.told(Quantity::co2_volumes).value << ", truly " << vessel.world.volumes();
    EXPECT_TRUE(holds(vessel.told(Quantity::co2_volumes), vessel.world.volumes()));
    EXPECT_LT(vessel.told(Quantity::head_space_air).value, 1) << "no air flows into 1.7 bar";
    ASSERT_NE(vessel.fact(FactKind::relief_opened), nullptr);
    EXPECT_EQ(vessel.fact(FactKind::leak_suspected), nullptr);
}

/// Gas that went another way than anybody knows: the beer cannot hold what the books say.
TEST(Gauge, IsBelievedAgainstTheBooksAndThatIsSaid) {
    Watched vessel{0.1};
    vessel.live(24h, HeadSpace::vented, Opening::vent, 0, 0.1);
    for (int i = 0; i < 12 * 48; ++i) {  // the curve tells of fermentation, the gauge stands at half a bar
        GasStep step;
        step.from = Timestamp{Duration{1'772'388'000'000}} + vessel.t;
        step.to = step.from + 5min;
        vessel.t += 5min;
        step.beer_c = 19;
        step.head_space = HeadSpace::sealed;
        step.head_kpa = 50;
        step.produced_volumes = 0.1 * step_h;
        step.produced_sigma = 0.1 * step.produced_volumes;
        step.fermenting = true;
        vessel.gas.step(step);
    }
    const auto& c = vessel.told(Quantity::co2_volumes);
    // 151 kPa of CO2 at 19 degC: 1.30 volumes by IAPWS and the factor 0.95; beer bears half as much again
    EXPECT_LT(c.value, 1.5 * 1.30 + 0.2);
    EXPECT_GT(c.high - c.low, 0.2) << "who was wrong is not sure";
    ASSERT_NE(vessel.fact(FactKind::gauge_contradicts), nullptr);
}

/// A vessel without a transducer: what a person reads from its gauge counts.
TEST(Gauge, ReadByHandCounts) {
    GasContext context = Watched::context();
    context.start = GasContext::Start::carbonated;
    DissolvedGas gas{context};
    Timestamp t{Duration{1'772'388'000'000}};
    for (int i = 0; i < 36; ++i, t += 5min) {
        GasStep step;
        step.from = t;
        step.to = t + 5min;
        step.beer_c = 4;
        step.head_space = HeadSpace::sealed;
        step.by_hand = i == 17;
        if (step.by_hand) step.head_kpa = 80;
        gas.step(step);
    }
    EXPECT_TRUE(gas.estimates().contains(Quantity::co2_volumes));
}

/// "Shut the gas for 2 h ..."
Duration asked_hours(const Fact& asked) {
    return std::chrono::hours{std::stoi(asked.evidence.substr(asked.evidence.find("for ") + 4))};
}

/// On gas, and nobody knows how fast it goes in: a question, and an answer once the gas was shut.
TEST(Doubt, AboutUptakeIsAskedAndAnswered) {
    Watched vessel{0.1};
    vessel.live(7 * 24h, HeadSpace::vented, Opening::vent, 0, 20.0 / (7 * 24));
    vessel.chill_to(3.2, HeadSpace::supplied, Opening::supply);
    while (vessel.fact(FactKind::shut_in_wanted) == nullptr && vessel.t < 15 * 24h)
        vessel.live(15min, HeadSpace::supplied, Opening::supply, 90);
    const auto wide = vessel.told(Quantity::co2_volumes);
    ASSERT_NE(vessel.fact(FactKind::shut_in_wanted), nullptr) << wide.low << " to " << wide.high;
    EXPECT_FALSE(vessel.fact(FactKind::shut_in_wanted)->revoked);

    vessel.live(asked_hours(*vessel.fact(FactKind::shut_in_wanted)), HeadSpace::sealed, Opening::none);
    const auto narrow = vessel.told(Quantity::co2_volumes);

    EXPECT_LT(narrow.high - narrow.low, 0.3) << "was " << wide.high - wide.low;
    EXPECT_TRUE(holds(narrow, vessel.world.volumes()))
        << narrow.low << " to " << narrow.high << ", truly " << vessel.world.volumes();
    vessel.live(30min, HeadSpace::supplied, Opening::supply, 90);
    EXPECT_TRUE(vessel.fact(FactKind::shut_in_wanted)->revoked);
}

}  // namespace
}  // namespace gyled::estimation::gas
