/// A finished batch teaches the next one of its culture.

#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

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

}  // namespace
}  // namespace gyled::cellar
