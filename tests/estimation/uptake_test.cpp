#include "daemon/estimation/gas/uptake.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

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

constexpr double beer_l = 21;

/// Cold, purged beer of 0.9 volumes, carbonated in a vessel of that kLa; what is known of the vessel before.
struct Carbonation {
    explicit Carbonation(double kla_per_h, std::optional<LearnedUptake> known = {})
        : world{{.beer_l = beer_l, .head_l = 5, .kla_per_h = kla_per_h, .factor = 0.95}, 0.9, 4},
          gas{context(known)} {
        live(6h, HeadSpace::vented, Opening::vent);
        for (int cycle = 0; cycle < 6; ++cycle) world.fill_to(110), world.let_off();
        gas.purge(6);
    }
    static GasContext context(const std::optional<LearnedUptake>& known) {
        GasContext context;
        context.total_volume_l = 26;
        context.beer_volume_l = beer_l;
        context.start = GasContext::Start::fermented;
        context.uptake = known;
        return context;
    }
    void live(Duration span, HeadSpace mode, Opening opening) {
        for (const Duration end = t + span; t < end; t += 5min) {
            for (int i = 0; i < 5; ++i) world.step(1.0 / 60, 0, opening, 110);
            GasStep step;
            step.from = Timestamp{Duration{1'772'388'000'000}} + t;
            step.to = step.from + 5min;
            step.beer_c = 4;
            step.head_space = mode;
            step.head_kpa = world.gauge_kpa() + 0.1 * normal(random);
            if (mode == HeadSpace::supplied) step.set_kpa = 110;
            gas.step(step);
        }
    }
    void supply(Duration span) { live(span, HeadSpace::supplied, Opening::supply); }
    void shut(Duration span) { live(span, HeadSpace::sealed, Opening::none); }
    [[nodiscard]] double off() const {
        return std::abs(gas.estimates().at(Quantity::co2_volumes).value - world.volumes());
    }
    [[nodiscard]] double width() const {
        const auto& told = gas.estimates().at(Quantity::co2_volumes);
        return told.high - told.low;
    }

    VesselOfMoles world;
    DissolvedGas gas;
    Duration t{};
    std::mt19937 random{11};
    std::normal_distribution<double> normal{0, 1};
};

std::optional<LearnedUptake> taught_by(double kla_per_h) {
    Carbonation earlier{kla_per_h};
    earlier.supply(60h);
    earlier.shut(36h);
    return earlier.gas.learned();
}

/// Slow and quick: the ends of what is usual (brewing/dissolution.hpp).
TEST(Uptake, OfAVesselIsLearntFromAShutIn) {
    for (const double kla : {0.01, 0.03}) {
        const auto learned = taught_by(kla);

        ASSERT_TRUE(learned) << kla;
        EXPECT_NEAR(learned->litres_per_h, kla * beer_l, 0.25 * kla * beer_l);
        EXPECT_LT(learned->log_sigma, 0.25);
        EXPECT_EQ(learned->batches, 1);
    }
}

TEST(Uptake, IsLearntFromNothingElse) {
    Carbonation batch{0.03};
    batch.supply(5 * 24h);

    EXPECT_EQ(batch.gas.learned(), std::nullopt);
}

/// Neither gauge nor regulator tells how much has gone in: the vessel does.
TEST(Uptake, IsWhatTheNextBatchBeginsWith) {
    for (const double kla : {0.01, 0.03}) {
        Carbonation strange{kla}, known{kla, taught_by(kla)};
        for (Carbonation* batch : {&strange, &known}) batch->supply(48h);

        EXPECT_LT(known.width(), 0.8 * strange.width()) << kla;
        EXPECT_LT(known.off(), 0.1) << kla << ", a stranger is off by " << strange.off();
    }
}

TEST(Uptake, IsKnownBetterAfterEachBatchThatTells) {
    const LearnedUptake first{1, 1, 0.4, 0.2};

    const auto second = joined(first, {std::log(0.4 / beer_l), 0.005}, beer_l);

    ASSERT_TRUE(second);
    EXPECT_EQ(second->batches, 2);
    EXPECT_NEAR(second->litres_per_h, 0.4, 0.01);
    EXPECT_LT(second->log_sigma, first.log_sigma);
    EXPECT_GT(second->log_sigma, 0.1) << "two batches are two";
    EXPECT_EQ(joined(first, {std::log(0.4 / beer_l), 0.05}, beer_l), std::nullopt) << "it told nothing";
}

/// The same surface under half of the beer: kLa = k_L A / V.
TEST(Uptake, BelongsToTheSurface) {
    const LearnedUptake learned{1, 3, 0.4, 0.1};

    EXPECT_NEAR(uptake_prior(learned, 10).log_kla, uptake_prior(learned, 20).log_kla + std::log(2), 1e-12);
}

TEST(Uptake, OfAVesselThatHasChangedIsLearntAnew) {
    const LearnedUptake still{1, 5, 0.3, 0.08};

    const auto stone = joined(still, {std::log(0.25), 0.01}, beer_l);

    ASSERT_TRUE(stone);
    EXPECT_EQ(stone->batches, 1);
    EXPECT_NEAR(stone->litres_per_h, 0.25 * beer_l, 0.01);
}

TEST(Uptake, ThatMakesNoSenseIsNotBelieved) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN(),
                     inf = std::numeric_limits<double>::infinity();
    const double usual = uptake_prior(std::nullopt, beer_l).log_kla;
    for (const LearnedUptake wild :
         {LearnedUptake{}, LearnedUptake{2, 1, 0.3, 0.1}, LearnedUptake{1, 0, 0.3, 0.1},
          LearnedUptake{1, 1, nan, 0.1}, LearnedUptake{1, 1, -1, 0.1}, LearnedUptake{1, 1, inf, 0.1},
          LearnedUptake{1, 1, 0.3, nan}, LearnedUptake{1, 1, 0.3, 0}, LearnedUptake{1, 1, 0.3, 1e9}}) {
        EXPECT_FALSE(is_usable(wild));
        EXPECT_EQ(uptake_prior(wild, beer_l).log_kla, usual);
    }
    EXPECT_EQ(joined(std::nullopt, {nan, nan}, beer_l), std::nullopt);
}

}  // namespace
}  // namespace gyled::estimation::gas
