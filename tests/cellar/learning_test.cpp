/// A finished batch teaches the next one of its culture.

#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {
namespace {

/// Lives through one ale of the house culture; how many hours wide the finish was foretold after two days.
double doubt_about_the_finish(Cellar& core, Duration begin) {
    batch::Plan plan = mild();
    plan.culture_name = "harbour house";
    plan.expected_final_gravity.reset();  // the recipe says nothing: the culture must
    plan.stages[0].start = at(begin);
    (void)core.advance_to(at(begin));
    EXPECT_TRUE(core.accept(StartBatch{plan, at(begin), {}}).problems.empty());
    double doubt = 0;
    for (sensors::Reading r : an_ale(0h, 240h)) {
        r.at = r.arrived = r.at + begin;
        if (r.at > core.now()) (void)core.advance_to(r.at);
        (void)core.accept(r);
        if (doubt == 0 && r.at >= at(begin + 48h)) {
            const auto view = core.vessel("north");
            const auto finish = view->estimates.find(Quantity::finish_time);
            if (finish != view->estimates.end()) doubt = (finish->second.high - finish->second.low) / 3600;
        }
    }
    (void)core.accept(EndBatch{"north", core.now(), "kegs are full"});
    return doubt;
}

TEST(Learning, MakesLaterBatchesOfACultureSurer) {
    Cellar core{harbour()};

    const double first = doubt_about_the_finish(core, 0h);
    const auto learned = core.take_learned();
    (void)doubt_about_the_finish(core, 300h);
    const double third = doubt_about_the_finish(core, 600h);

    ASSERT_EQ(learned.count("harbour house"), 1u);
    EXPECT_EQ(learned.at("harbour house").batches, 1);
    EXPECT_EQ(core.take_learned().at("harbour house").batches, 3);
    ASSERT_GT(first, 0) << "the finish was never foretold";
    EXPECT_LT(third, first);
}

}  // namespace
}  // namespace gyled::cellar
