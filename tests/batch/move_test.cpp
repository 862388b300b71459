/// The steps through a plan, as a table: where each leads from where, and which lead nowhere.

#include "daemon/batch/move.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace gyled::batch {
namespace {

using ::testing::HasSubstr;

/// Mash, mash-out, boil, chill; `indices` were entered, in this order.
Record through(const std::vector<std::size_t>& indices) {
    Record record;
    record.plan.name = "Harbour Mild";
    for (const StageKind kind : {StageKind::mash, StageKind::mash_out, StageKind::boil, StageKind::chill})
        record.plan.stages.emplace_back().kind = kind;
    for (const std::size_t index : indices) record.stages.emplace_back().index = index;
    return record;
}

TEST(Move, LeadsFromEachStageToOneOrSaysWhyNot) {
    using enum Move;
    struct Row {
        std::size_t from;
        Move move;
        std::optional<std::size_t> to;
        const char* why_not;
    };
    const Row rows[] = {
        {0, next, 1, ""},
        {1, next, 2, ""},
        {2, next, 3, ""},
        {3, next, {}, "has 4 stages; there is no number 5"},
        {0, skip, 2, ""},
        {1, skip, 3, ""},
        {2, skip, {}, "ends with chill"},
        {3, skip, {}, "has 4 stages; there is no number 5"},
        {0, back, {}, "begins with mash: there is no stage before it"},
        {1, back, 0, ""},
        {2, back, 1, ""},
        {3, back, 2, ""},
    };
    for (const Row& row : rows) {
        const auto target = target_of(row.move, through({0, row.from}));
        ASSERT_EQ(static_cast<bool>(target), row.to.has_value()) << row.from << ' ' << row.why_not;
        if (target)
            EXPECT_EQ(*target, *row.to) << row.from;
        else
            EXPECT_THAT(target.error(), HasSubstr(row.why_not));
    }
}

TEST(StageState, TellsWhatWasLeftOutFromWhatWasGoneThrough) {
    using enum StageState;
    const auto states = [](const std::vector<std::size_t>& entered) {
        std::vector<StageState> all;
        for (std::size_t i = 0; i < 4; ++i) all.push_back(state_of(i, through(entered).stages));
        return all;
    };

    EXPECT_EQ(states({0}), (std::vector{now, to_come, to_come, to_come}));
    EXPECT_EQ(states({0, 2}), (std::vector{past, skipped, now, to_come}));
    EXPECT_EQ(states({0, 2, 1}), (std::vector{past, now, to_come, to_come})) << "back once more";
    EXPECT_EQ(states({}), (std::vector{to_come, to_come, to_come, to_come}));
}

}  // namespace
}  // namespace gyled::batch
