#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

RuleTuning tuned(std::string rule) {
    RuleTuning tuning;
    tuning.rule = std::move(rule);
    return tuning;
}
RuleTuning threshold(std::string rule, Quantity quantity, std::optional<double> above,
                     std::optional<double> below = {}) {
    RuleTuning own = tuned(std::move(rule));
    own.quantity = quantity;
    own.above = above;
    own.below = below;
    return own;
}

TEST(Rules, EachHasANameAMeaningAndAdviceUnlessItIsGoodNews) {
    EXPECT_GE(rule_infos().size(), 16U);
    for (const RuleInfo& info : rule_infos()) {
        EXPECT_FALSE(info.meaning.empty()) << info.name;
        EXPECT_TRUE(check(tuned(std::string(info.name))).empty()) << info.name;
        EXPECT_TRUE(info.priority == Priority::low || !first_aid(info.name).empty()) << info.name;
        EXPECT_TRUE(!info.safety || info.priority >= Priority::medium) << info.name;
    }
    EXPECT_TRUE(first_aid("no such rule").empty());
}

TEST(Tuning, ChangesPriorityDelaysAndDeadband) {
    RuleTuning tuning = tuned("temperature_out_of_band");
    tuning.priority = Priority::critical;
    tuning.on_delay = 1min;
    tuning.off_delay = 0min;
    tuning.deadband = 0.6;
    Watcher north{{tuning}};

    EXPECT_EQ(north.sees(beer_at(21, 0min)), Said{});
    EXPECT_EQ(north.sees(beer_at(21, 1min)), Said{"temperature_out_of_band raised"});
    EXPECT_EQ(north.sees(beer_at(20.0, 2min)), Said{});
    EXPECT_EQ(north.sees(beer_at(19.9, 3min)), Said{"temperature_out_of_band cleared"});
    EXPECT_EQ(north.phone[0].priority, Priority::critical);
}

TEST(Tuning, SwitchesARuleOffForOneVesselOnly) {
    RuleTuning off = tuned("temperature_out_of_band");
    off.enabled = false;
    off.vessel = "south";
    const auto rings = [&](std::vector<RuleTuning> tunings) {
        Watcher north{std::move(tunings)};
        (void)north.sees(beer_at(25, 0min));
        return !north.sees(beer_at(25, 30min)).empty();
    };

    EXPECT_TRUE(rings({off}));
    off.vessel = "north";
    EXPECT_FALSE(rings({off}));
    RuleTuning on = tuned("temperature_out_of_band");
    on.enabled = true;
    EXPECT_FALSE(rings({off, on})) << "the word for one vessel beats the word for all";
}

TEST(Tuning, ASafetyRuleIsNotSwitchedOffLightly) {
    RuleTuning off = tuned("pressure_near_limit");
    off.enabled = false;
    EXPECT_THAT(check(off), testing::ElementsAre(testing::HasSubstr("i_accept_the_risk = true")));
    Watcher stubborn{{off}};
    EXPECT_EQ(stubborn.sees(head_at(175, 0min)), Said{"pressure_near_limit raised"});

    off.accept_the_risk = true;
    EXPECT_TRUE(check(off).empty());
    Watcher north{{off}};
    EXPECT_EQ(north.sees(head_at(175, 0min)), Said{});
}

TEST(Tuning, ASafetyRuleIsNeitherDelayedNorPlayedDown) {
    RuleTuning late = tuned("pressure_below_vacuum_limit");
    late.on_delay = 2min;
    EXPECT_EQ(check(late).size(), 1U);
    late.on_delay = 30s;
    EXPECT_TRUE(check(late).empty());
    late.priority = Priority::low;
    EXPECT_EQ(check(late).size(), 1U);
}

TEST(Tuning, ATunedPriorityNeverHidesAStep) {
    RuleTuning tuning = tuned("pressure_near_limit");
    tuning.priority = Priority::high;
    Watcher north{{tuning}};

    EXPECT_EQ(north.sees(head_at(150, 0min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.sees(head_at(163, 1min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.sees(head_at(175, 2min)), Said{"pressure_near_limit raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_EQ(north.phone[1].priority, Priority::high);
    EXPECT_EQ(north.phone[2].priority, Priority::critical);
}

TEST(Tuning, NonsenseIsNamedAndPassedOver) {
    std::vector<RuleTuning> nonsense{tuned(""), tuned("temprature_out_of_band"),
                                     tuned("pressure near limit")};
    for (const double number : {nan, infinity, -1.0}) {
        nonsense.push_back(tuned("temperature_out_of_band"));
        nonsense.back().deadband = number;
    }
    for (const auto delay : {Duration{-1min}, Duration{24h * 365}}) {
        nonsense.push_back(tuned("temperature_out_of_band"));
        nonsense.back().on_delay = delay;
        nonsense.push_back(tuned("temperature_out_of_band"));
        nonsense.back().off_delay = delay;
    }
    nonsense.push_back(threshold("temperature_out_of_band", Quantity::beer_temperature, 30));
    nonsense.push_back(threshold("mine", Quantity::beer_temperature, {}));
    nonsense.push_back(threshold("mine", Quantity::beer_temperature, nan));
    nonsense.push_back(threshold("mine", Quantity::beer_temperature, 10, 20));
    nonsense.push_back(threshold("mine", Quantity::finish_time, 10));
    nonsense.push_back(threshold("", Quantity::gravity, 1.1));
    nonsense.push_back(threshold("a/b", Quantity::gravity, 1.1));
    nonsense.push_back(tuned("pressure_near_limit"));
    nonsense.back().text = "all is well";

    for (const RuleTuning& one : nonsense) {
        EXPECT_FALSE(check(one).empty()) << one.rule;
        for (const std::string& problem : check(one)) EXPECT_GT(problem.size(), 20U);
    }
    Watcher north{nonsense};
    (void)north.sees(beer_at(21, 0min));
    EXPECT_EQ(north.sees(beer_at(21, 30min)), Said{"temperature_out_of_band raised"})
        << "as if they were not there";
}

TEST(OwnThreshold, RingsWithThePersonsWords) {
    RuleTuning own = threshold("room_frost", Quantity::room_temperature, {}, 2);
    own.text = "The cellar is freezing";
    own.on_delay = 0min;
    own.off_delay = 0min;
    Watcher north{{own}};

    EXPECT_EQ(north.sees(with(fermenting(0min), Quantity::room_temperature, 2)), Said{});
    EXPECT_EQ(north.sees(with(fermenting(1min), Quantity::room_temperature, 1.5)), Said{"room_frost raised"});
    EXPECT_EQ(north.sees(with(fermenting(2min), Quantity::room_temperature, 2.2)), Said{});
    EXPECT_EQ(north.sees(with(fermenting(3min), Quantity::room_temperature, 2.3)),
              Said{"room_frost cleared"});

    EXPECT_EQ(north.phone[0].title, "North: The cellar is freezing");
    EXPECT_EQ(
        north.phone[0].text,
        "The cellar is freezing: room temperature 1.5 °C, below 2.0 °C since Sun 1 Mar 18:01. Harbour Mild, "
        "Harbour cellar, Sun 1 Mar 18:01.");
    EXPECT_THAT(
        north.phone[1].text,
        testing::StartsWith("The cellar is freezing: returned to normal. Lasted 2 min, at worst 1.5 °C."));
}

TEST(OwnThreshold, WatchesAnEstimateToo) {
    RuleTuning own = threshold("strong", Quantity::alcohol_by_volume, 5.0);
    Watcher north{{own}};
    const auto alcohol = [](double percent, Duration moment) {
        return believing(fermenting(moment), Quantity::alcohol_by_volume, percent);
    };

    EXPECT_EQ(north.sees(alcohol(5.2, 0min)), Said{});
    EXPECT_EQ(north.sees(alcohol(5.2, 5min)), Said{"strong raised"});
    EXPECT_EQ(north.sees(fermenting(6min)), Said{}) << "nobody knows: it stands";
}

TEST(OwnThreshold, TwoLimitsMakeABand) {
    Watcher north{{threshold("jacket", Quantity::jacket_temperature, 25, -2)}};
    const auto jacket = [](double celsius, Duration moment) {
        return with(fermenting(moment), Quantity::jacket_temperature, celsius);
    };

    EXPECT_EQ(north.sees(jacket(20, 0min)), Said{});
    EXPECT_EQ(north.sees(jacket(-3, 1min)), Said{});
    EXPECT_EQ(north.sees(jacket(-3, 6min)), Said{"jacket raised"});
    EXPECT_EQ(north.phone[0].title, "North: jacket temperature -3.0 °C, below -2.0 °C");
}

}  // namespace
}  // namespace gyled::alarms
