/// A running batch corrected, a measurement weighed: what is understood and what is refused, in words.

#include "daemon/batch/correction.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

#include "daemon/batch/measurement.hpp"

namespace gyled::batch {
namespace {

using namespace std::chrono_literals;
using base::Quantity;
using ::testing::HasSubstr;

Timestamp at(Duration after) {
    return base::from_rfc3339("2026-03-01T18:00:00Z").value() + after;
}

VesselSpec north() {
    VesselSpec vessel;
    vessel.id = "north";
    vessel.total_volume_l = 26;
    return vessel;
}

Record mild() {
    Record record;
    record.id = "north-harbour-mild";
    record.plan.name = "Harbour Mild";
    record.plan.volume_l = 21;
    record.plan.original_gravity = 1.040;
    record.plan.expected_final_gravity = 1.010;
    record.plan.stages.resize(2);
    record.started = at(0h);
    record.stages = {{0, at(0h), "batch started", {}}, {1, at(96h), "by hand", {}}};
    return record;
}

std::string refused(const Correction& correction) {
    const auto result = corrected(mild(), correction, north(), at(100h));
    return result ? std::string{} : result.error();
}

TEST(Correction, ChangesWhatIsGivenAndNothingElse) {
    const auto after = corrected(mild(), {.original_gravity = 1.044, .volume_l = 20.0}, north(), at(100h));

    ASSERT_TRUE(after);
    EXPECT_EQ(after->plan.original_gravity, 1.044);
    EXPECT_EQ(after->plan.volume_l, 20.0);
    EXPECT_EQ(after->plan.name, "Harbour Mild");
    EXPECT_EQ(after->started, at(0h));
}

TEST(Correction, MovesTheStartAndTheStages) {
    const auto after =
        corrected(mild(), {.started = at(-2h), .stage_times = {{1, at(90h)}}}, north(), at(100h));

    ASSERT_TRUE(after);
    EXPECT_EQ(after->started, at(-2h));
    EXPECT_EQ(after->stages[0].at, at(-2h));
    EXPECT_EQ(after->stages[1].at, at(90h));
}

TEST(Correction, IsRefusedInWords) {
    EXPECT_THAT(refused({}), HasSubstr("Nothing"));
    EXPECT_THAT(refused({.volume_l = 40.0}), HasSubstr("26.0 L"));
    EXPECT_THAT(refused({.volume_l = -1.0}), HasSubstr("more than 0"));
    EXPECT_THAT(refused({.original_gravity = 1040.0}), HasSubstr("did you mean 1.040?"));
    EXPECT_THAT(refused({.original_gravity = std::numeric_limits<double>::quiet_NaN()}), HasSubstr("SG"));
    EXPECT_THAT(refused({.expected_final_gravity = 1.050}), HasSubstr("below the original"));
    EXPECT_THAT(refused({.target_co2_volumes = 40.0}), HasSubstr("volumes"));
    EXPECT_THAT(refused({.stage_times = {{1, at(-1h)}}}), HasSubstr("before the one it follows"));
    EXPECT_THAT(refused({.stage_times = {{1, at(101h)}}}), HasSubstr("future"));
    EXPECT_THAT(refused({.stage_times = {{7, at(1h)}}}), HasSubstr("no number 8"));
}

std::string objection(Quantity quantity, double value, Duration taken = 1h) {
    return objection_to({quantity, value, at(taken), ""}, mild(), at(100h)).value_or("");
}

TEST(Measurement, IsTakenWhenItCanBeTrue) {
    EXPECT_EQ(objection(Quantity::gravity, 1.012), "");
    EXPECT_EQ(objection(Quantity::co2_volumes, 2.4), "");
}

TEST(Measurement, ThatCannotBeTrueIsRefusedWithItsLikelyMeaning) {
    EXPECT_THAT(objection(Quantity::gravity, 1023), HasSubstr("did you mean 1.023?"));
    EXPECT_THAT(objection(Quantity::gravity, 12), HasSubstr("1.012"));
    EXPECT_THAT(objection(Quantity::gravity, 12), HasSubstr("12 degrees Plato"));
    EXPECT_NE(objection(Quantity::gravity, -3), "");
    EXPECT_NE(objection(Quantity::co2_volumes, 24), "");
    EXPECT_NE(objection(Quantity::gravity, std::numeric_limits<double>::infinity()), "");
    EXPECT_NE(objection(Quantity::gravity, std::numeric_limits<double>::quiet_NaN()), "");
}

TEST(Measurement, ThatNothingWouldUseIsRefused) {
    EXPECT_THAT(objection(Quantity::supply_pressure, 80), HasSubstr("change nothing"));
    EXPECT_THAT(objection(Quantity::beer_temperature, 18), HasSubstr("change nothing"));
    EXPECT_THAT(objection(Quantity::finish_time, 18), HasSubstr("change nothing"));
}

TEST(Measurement, BelongsToTheBatchAndToThePast) {
    EXPECT_THAT(objection(Quantity::gravity, 1.012, -1h), HasSubstr("before the batch"));
    EXPECT_THAT(objection(Quantity::gravity, 1.012, 200h), HasSubstr("future"));
}

}  // namespace
}  // namespace gyled::batch
