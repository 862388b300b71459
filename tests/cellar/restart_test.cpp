/// A restart is a replay; arrival order does not matter.

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <random>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {
namespace {

void live_through(Cellar& core, const std::vector<sensors::Reading>& readings, Effects& all) {
    for (const auto& r : readings) {
        if (r.at > core.now()) all.append(core.advance_to(r.at));
        all.append(core.accept(r));
    }
}

void expect_same(const base::Estimates& a, const base::Estimates& b, double relative) {
    ASSERT_EQ(a.size(), b.size());
    for (const auto& [quantity, x] : a) {
        ASSERT_TRUE(b.contains(quantity)) << base::name(quantity);
        const auto& y = b.at(quantity);
        const auto near = [&](double u, double v) {
            return u == v || std::abs(u - v) <= relative * std::max({1.0, std::abs(u), std::abs(v)});
        };
        EXPECT_TRUE(near(x.value, y.value) && near(x.low, y.low) && near(x.high, y.high))
            << base::name(quantity) << ' ' << x.value << " or " << y.value;
    }
}

TEST(Restart, BelievesWhatWasBelievedBefore) {
    Cellar before{harbour()};
    Effects stored = before.advance_to(at(0h));
    stored.append(before.accept(StartBatch{mild(), at(0h), {}}));
    live_through(before, an_ale(0h, 60h), stored);
    stored.append(before.advance_to(at(60h)));

    Memory memory;
    memory.running = {stored.batches.back()};
    Cellar after{harbour()};
    after.rebuild(
        memory,
        [&](const auto& take) {
            for (const auto& point : stored.readings) take(point);
        },
        at(60h));

    ASSERT_TRUE(before.vessel("north")->estimates.contains(Quantity::final_gravity));
    expect_same(before.vessel("north")->estimates, after.vessel("north")->estimates, 1e-9);
    EXPECT_EQ(after.vessel("north")->batch->name, "Harbour Mild");

    // and goes on as the other would have gone on
    Effects one, other;
    live_through(before, an_ale(60h, 72h), one);
    live_through(after, an_ale(60h, 72h), other);
    expect_same(before.vessel("north")->estimates, after.vessel("north")->estimates, 1e-9);
    EXPECT_EQ(one.facts.size(), other.facts.size());
}

TEST(LateReadings, GiveTheNumbersOfALiveStream) {
    Cellar live{harbour()}, bulk{harbour()};
    Effects ignored = live.advance_to(at(0h));
    ignored = live.accept(StartBatch{mild(), at(0h), {}});
    live_through(live, an_ale(0h, 48h), ignored);
    ignored = live.advance_to(at(48h));

    // The same history, uploaded in disorder two days later.
    auto readings = an_ale(0h, 48h);
    std::shuffle(readings.begin(), readings.end(), std::mt19937_64{7});
    ignored = bulk.advance_to(at(48h) - 5s);
    ignored = bulk.accept(StartBatch{mild(), at(0h), {}});
    for (const auto& r : readings) ignored = bulk.accept(r);
    Effects settled = bulk.advance_to(at(48h));

    expect_same(live.vessel("north")->estimates, bulk.vessel("north")->estimates, 1e-6);
    EXPECT_GT(settled.estimates.size(), 48u * 4) << "the trend of the past is told again";
    EXPECT_TRUE(settled.notices.empty()) << "the past rings nobody";
}

TEST(LateReadings, DoNotMoveTheClockBack) {
    Cellar core{harbour()};
    Effects ignored = core.advance_to(at(10h));
    ignored = core.advance_to(at(2h));

    EXPECT_EQ(core.now(), at(10h));
}

}  // namespace
}  // namespace gyled::cellar
