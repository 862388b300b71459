// Delays run with time, on the evidence at hand (on-delay and off-delay of IEC 62682).
#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

/// The situation of `then`, with nothing new, at `moment`.
Situation later(Situation then, Duration moment) {
    then.at = at(moment);
    return then;
}

TEST(Delays, AReturnClearsByTimeAloneWithoutTheSensorsNextReading) {
    Watcher north;
    ASSERT_EQ(north.sees(head_at(150, 0min)), Said{"pressure_near_limit raised"});
    const Situation down = head_at(97, 18s);

    EXPECT_EQ(north.sees(down), Said{});
    EXPECT_EQ(north.sees(later(down, 2min)), Said{});
    EXPECT_EQ(north.sees(later(down, 2min + 18s)), Said{"pressure_near_limit cleared"});
    EXPECT_EQ(north.log.back().at, at(2min + 18s)) << "dated with the return";
    EXPECT_EQ(north.log.back().raised_at, at(0min));
}

TEST(Delays, AStaleReadingClearsNothing) {
    Watcher north;
    ASSERT_EQ(north.sees(head_at(150, 0min)), Said{"pressure_near_limit raised"});
    Situation down = head_at(97, 18s);
    down.latest[Quantity::head_pressure].stale_after = 60s;

    (void)north.sees(down);
    for (auto moment = 2min; moment < 3h; moment += 1min) (void)north.sees(later(down, moment));

    std::vector<std::string> rules;
    for (const Occurrence& one : north.panel.standing()) rules.push_back(one.last.rule);
    EXPECT_THAT(rules, testing::Contains("pressure_near_limit"));
}

TEST(Delays, WithoutAnOffDelayNoCrossingIsLost) {
    RuleTuning at_once;
    at_once.rule = "pressure_near_limit";
    at_once.off_delay = 0s;
    Watcher north{{at_once}};
    std::vector<std::string> ids;

    for (int n = 0; n < 50; ++n) {  // four crossings in a second
        (void)north.sees(head_at(150, n * 250ms));
        EXPECT_EQ(north.log.back().state, AlarmState::raised) << n;
        ids.push_back(north.log.back().alarm);
        (void)north.sees(head_at(100, n * 250ms + 100ms));
        EXPECT_EQ(north.log.back().state, AlarmState::normal) << n;
    }

    std::sort(ids.begin(), ids.end());
    EXPECT_EQ(std::unique(ids.begin(), ids.end()), ids.end()) << "each crossing is its own occurrence";
    EXPECT_EQ(north.phone.size(), 8U) << "what chatters is told four times, and then that it does";
}

TEST(Delays, ASensorWhoseClockRunsAheadPutsOffNothing) {
    Watcher north;
    Situation now = head_at(175, 5min);
    now.at = at(0min);

    EXPECT_EQ(north.sees(now), Said{"pressure_near_limit raised"});
    now = head_at(100, 6min);
    now.at = at(1min);
    (void)north.sees(now);
    EXPECT_EQ(north.sees(later(now, 3min)), Said{"pressure_near_limit cleared"});
}

TEST(Delays, AnOldReadingCountsFromItsOwnTime) {
    Watcher north{band_after(10min)};
    Situation now = beer_at(23, -9min);

    EXPECT_EQ(north.sees(later(now, 0min)), Said{});
    now = beer_at(23, -1min);
    EXPECT_EQ(north.sees(later(now, 1min)), Said{"temperature_out_of_band raised"});
    EXPECT_THAT(north.phone.at(0).text, testing::HasSubstr("since Sun 1 Mar 17:51"));
}

}  // namespace
}  // namespace gyled::alarms
