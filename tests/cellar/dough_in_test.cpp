#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

/// The grain goes into the liquor while somebody stands at the vessel.
namespace gyled::cellar {
namespace {

using estimation::FactKind;

batch::Plan mashed() {
    batch::Plan plan = mild();
    batch::StagePlan mash;
    mash.kind = StageKind::mash;
    mash.temperature_c = Band{66, 68};
    plan.stages = {mash, plan.stages[0]};
    for (batch::StagePlan& stage : plan.stages) stage.start.reset();
    return plan;
}

struct MashTun {
    Cellar core{harbour()};
    Effects all;
    explicit MashTun(const batch::Plan& plan) {
        all.append(core.advance_to(at(0min)));
        all.append(core.accept(StartBatch{plan, at(0min), {}}));
    }
    /// A reading each half minute.
    void stands(Duration from, Duration to, double celsius) {
        for (Duration t = from; t < to; t += 30s) {
            all.append(core.advance_to(at(t)));
            all.append(core.accept(reading(Quantity::beer_temperature, t, celsius)));
        }
    }
    [[nodiscard]] std::vector<estimation::Fact> doughed_in() const {
        std::vector<estimation::Fact> out;
        for (const auto& change : all.facts)
            if (change.fact.kind == FactKind::doughed_in) out.push_back(change.fact);
        return out;
    }
    [[nodiscard]] std::size_t notices() const {
        return static_cast<std::size_t>(std::ranges::count_if(all.notices, [](const auto& notice) {
            return notice.title.find("the grain is in") != std::string::npos;
        }));
    }
};

TEST(DoughIn, IsAFactAndOneNotice) {
    MashTun tun{mashed()};
    tun.stands(1min, 15min, 73.3);
    EXPECT_THAT(tun.doughed_in(), testing::IsEmpty());
    tun.stands(15min, 90min, 67.0);  // the textbooks' example: 3 L/kg of grain at 20 degC

    ASSERT_THAT(tun.doughed_in(), testing::SizeIs(1));
    EXPECT_LE(tun.doughed_in().front().at, at(18min));
    EXPECT_FALSE(tun.doughed_in().front().revoked);
    EXPECT_THAT(tun.doughed_in().front().evidence,
                testing::AllOf(testing::HasSubstr("73.3"), testing::HasSubstr("67.0")));
    EXPECT_EQ(tun.notices(), 1u);
}

TEST(HeatUp, TeachesWhatTheNextBatchOfTheVesselBeginsWith) {
    batch::Plan plan = mashed();
    batch::StagePlan strike;
    strike.kind = StageKind::strike;
    strike.end = {.when = batch::StageEnd::When::temperature_reached, .temperature_c = 72, .duration = {}};
    plan.stages.insert(plan.stages.begin(), strike);
    MashTun tun{plan};
    // 21 L and 0.9 Wh/K of steel by 2.2 kW of which a tenth goes astray (m c dT, any textbook of heat
    // transfer)
    const double per_second = 2200 * 0.9 / (21 * 0.998 * 4184 + 3240);
    for (Duration t = 0s; 12 + per_second * static_cast<double>(t.count()) / 1000 < 76; t += 30s)
        tun.stands(t, t + 30s, 12 + per_second * static_cast<double>(t.count()) / 1000);

    const auto states = tun.core.states();
    ASSERT_EQ(states.back().vessel, "north");
    EXPECT_EQ(states.back().heat.heat_ups, 1);
    EXPECT_NEAR(states.back().heat.heater_kw, 2.2, 0.25);
    EXPECT_EQ(tun.core.vessel("north")->learned.heat.heat_ups, 1);
    EXPECT_TRUE(tun.core.accept(ForgetVessel{"north", tun.core.now()}).problems.empty());
    EXPECT_EQ(tun.core.vessel("north")->learned.heat.heat_ups, 0);
}

TEST(DoughIn, IsNotLookedForInAFerment) {
    MashTun tun{mild()};
    tun.stands(1min, 15min, 73.3);
    tun.stands(15min, 30min, 67.0);

    EXPECT_THAT(tun.doughed_in(), testing::IsEmpty());
}

}  // namespace
}  // namespace gyled::cellar
