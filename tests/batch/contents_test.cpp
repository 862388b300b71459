#include "daemon/batch/contents.hpp"

#include <gtest/gtest.h>

namespace gyled::batch {
namespace {

Record through(std::initializer_list<StageKind> kinds) {
    Record record;
    for (const StageKind kind : kinds) {
        StagePlan stage;
        stage.kind = kind;
        record.plan.stages.push_back(stage);
        record.stages.push_back({record.stages.size(), {}, "", {}});
    }
    return record;
}

using enum StageKind;

TEST(Contents, AreNotWhatTheNextBatchFinds) {
    EXPECT_EQ(contents_found(through({clean})), (Contents{.liquid = false, .co2 = true}))
        << "nobody knows what the batch before has left";
    EXPECT_EQ(contents_found(through({ferment, serve, clean})), (Contents{.liquid = true, .co2 = true}));
    EXPECT_EQ(contents_found(through({serve, rinse, clean})), (Contents{.liquid = false, .co2 = true}))
        << "water drives out no CO2";
    EXPECT_EQ(contents_found(through({boil, chill, clean})), (Contents{.liquid = true, .co2 = false}));
    EXPECT_EQ(contents_found(through({serve, clean, rinse, clean})),
              (Contents{.liquid = false, .co2 = false}));
    EXPECT_EQ(contents_found(through({serve, clean, purge, clean})),
              (Contents{.liquid = false, .co2 = true}));
}

TEST(Contents, StayWhileTheHeadSpaceIsPurgedOrTested) {
    EXPECT_FALSE(contents(through({clean, rinse, tightness})).liquid);
    EXPECT_TRUE(contents(through({ferment, tightness})).liquid);
    EXPECT_TRUE(contents(through({chill, purge})).liquid);
}

}  // namespace
}  // namespace gyled::batch
