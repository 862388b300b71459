/// What bottles would hold, and what speaks against filling them.

#include "daemon/batch/packaging_check.hpp"

#include <gmock/gmock.h>

namespace gyled::batch {
namespace {

using base::Estimate;
using base::Quantity;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;
using namespace std::chrono_literals;

const Timestamp now = *base::from_rfc3339("2026-03-15T18:00:00Z");

/// Fermented out at 20 degC under an airlock, and found so three days ago.
struct Mild {
    Record record;
    base::Estimates estimates{{Quantity::co2_volumes, {0.85, 0.78, 0.92}},
                              {Quantity::residual_co2_potential, {0.02, 0, 0.2}},
                              {Quantity::gravity_now, {1.010, 1.0095, 1.0105}},
                              {Quantity::gravity_rate, {0, -0.0002, 0.0001}}};
    PackagingAsked asked{.package = brewing::package_kinds[2], .target_volumes = 2.3};

    Mild() {
        record.plan.culture = base::Culture::ale;
        estimation::Fact finished;
        finished.kind = estimation::FactKind::fermentation_finished;
        finished.at = now - 72h;
        record.facts = {finished};
    }
    void measured(const char* quantity, double value, Duration ago) {
        record.measurements.push_back({base::quantity_named(quantity).value(), value, now - ago, ""});
    }
    [[nodiscard]] PackagingAnswer answer() const {
        return check_packaging(asked, {record, estimates, base::standard_atmosphere, now}, {});
    }
};

TEST(PackagingCheck, FindsNothingAgainstABeerThatStoodStill) {
    const PackagingAnswer answer = Mild{}.answer();
    EXPECT_THAT(answer.against, IsEmpty());
    EXPECT_TRUE(answer.nothing_found());
    EXPECT_THAT(answer.cautions, Contains(HasSubstr("no word that it is safe")));
}

/// Residual 0.85 volumes at 20 degC and 4 g of sucrose a litre and volume: the trade's own sum (common
/// practice).
TEST(PackagingCheck, PrimesAsTheTradeDoes) {
    Mild mild;
    mild.estimates[Quantity::residual_co2_potential] = {0, 0, 0};
    const PackagingAnswer answer = mild.answer();
    EXPECT_NEAR(answer.sugar_g_per_litre, (2.3 - 0.85) * 4.0, 0.35);
    EXPECT_NEAR(answer.in_all.value, 2.3, 1e-9);
    mild.asked.target_volumes.reset();
    EXPECT_EQ(mild.answer().sugar_g_per_litre, 0);
    EXPECT_NEAR(mild.answer().in_all.value, 0.85, 1e-9);
}

/// The trade's carbonation chart (from memory): 2.47 volumes at 40 degF are 12 psi of gauge; and 2.5 volumes
/// at 25 degC some 2.6 bar.
TEST(PackagingCheck, TellsThePressureWhenServedAndWhereItIsWarm) {
    Mild mild;
    mild.asked.target_volumes = 2.47;
    mild.asked.serving_c = 4.44;
    mild.asked.storage_c = 25;
    const PackagingAnswer answer = mild.answer();
    EXPECT_NEAR(answer.serving_kpa.value, 12 * 6.894757, 4);
    EXPECT_NEAR(answer.warm_kpa.value, 260, 20);
    EXPECT_GT(answer.warm_kpa.high, answer.warm_kpa.value + 20) << "a beer that holds less, and a point left";
}

TEST(PackagingCheck, RefusesWhatHasNotBeenFoundFinished) {
    Mild mild;
    mild.record.facts.clear();
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("one reading proves nothing")));
    mild = Mild{};
    mild.record.facts[0].revoked = true;
    EXPECT_FALSE(mild.answer().nothing_found());
}

TEST(PackagingCheck, WantsTwoDaysOrTwoEqualSamples) {
    Mild mild;
    mild.record.facts[0].at = now - 20h;
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("only 20 h ago")));
    mild.measured("gravity", 1.0102, 50h);
    EXPECT_FALSE(mild.answer().nothing_found()) << "one sample is none";
    mild.measured("gravity", 1.0100, 1h);
    EXPECT_TRUE(mild.answer().nothing_found());
    mild.measured("gravity", 1.0085, 30min);
    EXPECT_FALSE(mild.answer().nothing_found()) << "it fell after all";
}

TEST(PackagingCheck, RefusesASlopeThatIsNotResolved) {
    Mild mild;
    mild.estimates[Quantity::gravity_rate] = {-0.0002, -0.0009, 0.0004};
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("0.0009 SG a day")));
}

TEST(PackagingCheck, RefusesAMixedCultureWithoutAForcedFerment) {
    Mild mild;
    mild.record.plan.culture = base::Culture::mixed;
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("forced ferment")));
}

TEST(PackagingCheck, BelievesAForcedFermentThatEndedDeeper) {
    Mild mild;
    mild.record.plan.culture = base::Culture::mixed;
    mild.measured("forced_final_gravity", 1.0098, 24h);
    EXPECT_THAT(mild.answer().against, IsEmpty());
    mild.measured("forced_final_gravity", 1.004, 12h);
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("ended at 1.004")));
    // six points of half a volume each, on top of what is there
    EXPECT_NEAR(mild.answer().in_all.value, 0.85 + 3.0, 0.01);
}

TEST(PackagingCheck, RefusesWhatThePackageShouldNotHold) {
    Mild mild;
    mild.estimates[Quantity::residual_co2_potential] = {2.5, 2.0, 3.0};
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("no more than 3.00 vol")));
    EXPECT_THAT(mild.answer().cautions, Contains(HasSubstr("add no sugar")));
    mild = Mild{};
    mild.estimates[Quantity::residual_co2_potential] = {0.3, 0.0, 1.4};
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("It could hold up to 3.4"))) << "by its unsafe end";
    mild = Mild{};
    mild.asked.target_volumes = 3.5;
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("The target of 3.50 vol")));
    mild.asked.package = brewing::package_kinds[0];
    mild.asked.target_volumes = 2.6;
    EXPECT_FALSE(mild.answer().nothing_found()) << "an unknown bottle: no more than 2.5";
}

TEST(PackagingCheck, SaysWhatIsNotKnown) {
    Mild mild;
    mild.estimates.erase(Quantity::co2_volumes);
    EXPECT_THAT(mild.answer().against,
                Contains(HasSubstr("not known: it needs temperature and head pressure")));
    mild = Mild{};
    mild.estimates.erase(Quantity::residual_co2_potential);
    EXPECT_THAT(mild.answer().against, Contains(HasSubstr("it needs gravity readings")));
    mild.estimates.clear();
    mild.record = {};
    EXPECT_THAT(mild.answer().against, Not(IsEmpty()));
}

}  // namespace
}  // namespace gyled::batch
