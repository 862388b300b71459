// What a tired person reads on a locked phone: of every rule, in every step.
#include <map>
#include <set>

#include "daemon/base/text.hpp"
#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

using testing::AnyOf;
using testing::EndsWith;
using testing::HasSubstr;
using testing::Not;

// A push service takes messages of 4 096 bytes, its own fields included (from memory); a locked phone shows
// some four lines of thirty characters, the title above them (common practice).
constexpr std::size_t text_bytes = 3000;
constexpr std::size_t action_characters = 120;

/// A vessel whose plate says everything.
Situation rated(Situation now) {
    now.relief_kpa = 180;
    now.plate_kpa = 200;
    now.fitting_kpa = 400;
    return now;
}

Situation hot(Situation now, StageKind stage) {
    now.stage = stage;
    now.temperature_band_c.reset();
    return now;
}

Situation knowing(estimation::FactKind kind, Duration moment) {
    Situation now = fermenting(moment);
    now.facts.push_back(
        {.kind = kind, .at = at(moment), .evidence = "Gravity is 1.0112", .revoked_because = {}});
    return now;
}

/// Everything that can befall a vessel, each long enough to be raised and to end.
std::vector<std::vector<Situation>> misfortunes() {
    using estimation::FactKind;
    std::vector<std::vector<Situation>> all;
    const auto lasting = [&](const std::function<Situation(Duration)>& bad) {
        std::vector<Situation> one;
        for (auto moment = 0min; moment <= 3h; moment += 10min) one.push_back(rated(bad(moment)));
        for (auto moment = 3h + 10min; moment <= 5h; moment += 10min)
            one.push_back(rated(fermenting(moment)));
        all.push_back(std::move(one));
    };
    for (const double kpa : {145.0, 163.0, 172.0, 181.0, 260.0})
        for (const StageKind stage : {StageKind::ferment, StageKind::boil})
            lasting([=](Duration moment) { return hot(head_at(kpa, moment), stage); });
    for (const double celsius : {-1.5, 25.0})
        for (const StageKind stage : {StageKind::mash, StageKind::ferment, StageKind::serve})
            lasting([=](Duration moment) {
                Situation now = beer_at(celsius, moment);
                now.stage = stage;
                return now;
            });
    for (const Duration ahead : {90min, 20min})
        lasting([=](Duration moment) {
            return believing(head_at(60, moment), Quantity::limit_time,
                             base::unix_seconds(at(moment + ahead)));
        });
    lasting([](Duration moment) { return head_at(-12, moment); });
    lasting([](Duration moment) { return with(fermenting(moment), Quantity::head_pressure, 20); });
    lasting([](Duration moment) {
        Situation now = head_at(170, moment);
        now.relief = estimation::gas::ReliefHistory{2, at(0min), at(moment), 181, 168};
        return now;
    });
    for (const double kpa : {20.0, 140.0})
        lasting([=](Duration moment) {
            Situation now = head_at(kpa, moment);
            now.pressure_band_kpa = base::Band{80, 100};
            return now;
        });
    lasting([](Duration moment) {
        return hot(with(head_at(20, moment), Quantity::beer_temperature, 98), StageKind::mash);
    });
    lasting([](Duration moment) { return believing(head_at(70, moment), Quantity::warm_pressure, 250); });
    lasting([](Duration moment) {
        return believing(hot(head_at(5, moment), StageKind::crash), Quantity::crash_pressure, -46);
    });
    lasting([](Duration moment) {
        return believing(believing(head_at(20, moment), Quantity::closed_pressure, 250),
                         Quantity::closing_gravity, 1.013);
    });
    lasting([](Duration moment) {
        Situation now = believing(head_at(20, moment), Quantity::closing_gravity, 1.013);
        now.stage_since = at(0min);
        now.estimates[Quantity::closed_pressure] = {90, 60, 220};
        return now;
    });
    lasting([](Duration moment) {
        Situation now = hot(with(head_at(1, moment), Quantity::beer_temperature, 80), StageKind::chill);
        now.movement.target_c = 20;
        return now;
    });
    lasting([](Duration moment) {
        Situation now = hot(fermenting(moment), StageKind::clean);
        now.found_co2 = true;
        return now;
    });
    lasting([](Duration moment) {
        Situation now = hot(with(fermenting(moment), Quantity::beer_temperature, -2.6), StageKind::crash);
        return believing(believing(now, Quantity::alcohol_by_volume, 4), Quantity::gravity_now, 1.010);
    });
    lasting([](Duration moment) {
        Situation now = head_at(20, moment);
        now.is_filled = true;
        now.total_volume_l = 26;
        now.volume_l = 25.5;
        return now;
    });
    lasting([](Duration moment) {
        return believing(hot(with(fermenting(moment), Quantity::head_pressure, 1), StageKind::condition),
                         Quantity::co2_volumes, 2.4);
    });
    lasting([](Duration moment) {
        Situation now = hot(head_at(90, moment), StageKind::serve);
        now.head_space = HeadSpace::supplied;
        now.head_pressure_set_kpa = 70;
        now.movement.pressure_rise = Slope{5, 0.5};
        now.movement.temperature = Slope{0, 0.05};
        return believing(believing(now, Quantity::co2_volumes, 2.0), Quantity::co2_equilibrium_volumes, 2.4);
    });
    lasting([](Duration moment) {
        Situation now = fermenting(moment);
        now.plan_danger = {
            "Stage 2 (carbonate): the regulator is set to 5.00 bar, above its plate of "
            "2.00 bar. At most head_pressure_kpa = 166 fits.",
            true};
        return now;
    });
    lasting([](Duration moment) {
        Situation now = fermenting(moment);
        now.room_m3 = 10;
        now.co2_given_off_l = 300;
        return now;
    });
    lasting([](Duration moment) {
        Situation now = hot(with(fermenting(moment), Quantity::beer_temperature, 98), StageKind::boil);
        now.movement.temperature = Slope{30, 1};
        return now;
    });
    lasting([](Duration moment) {
        Situation now = hot(with(fermenting(moment), Quantity::beer_temperature, 40), StageKind::strike);
        now.movement.target_c = 72;
        now.movement.temperature = Slope{0, 0.1};
        return now;
    });
    for (int kind = 0; kind <= static_cast<int>(FactKind::leak_suspected); ++kind)
        lasting([=](Duration moment) { return knowing(static_cast<FactKind>(kind), moment); });
    lasting([](Duration moment) { return knowing(FactKind::doughed_in, moment); });
    lasting([](Duration moment) { return knowing(FactKind::fermentation_overdue, moment); });
    lasting([](Duration moment) {
        Situation now = fermenting(moment);
        for (SensorSilence& sensor : now.sensors) sensor.last_at = at(-1h);
        return now;
    });
    return all;
}

/// Of the vessel and, for each impairment, of the watch.
std::vector<annunciation::Notice> everything_said() {
    std::vector<annunciation::Notice> said;
    for (const std::vector<Situation>& one : misfortunes()) {
        Watcher north;
        for (const Situation& now : one) (void)north.sees(now);
        said.insert(said.end(), north.phone.begin(), north.phone.end());
    }
    for (const std::string_view name : watch_rule_names()) {
        Watcher gyled({}, lisbon(), "");
        for (auto moment = 0min; moment <= 1h; moment += 10min) {
            Situation now;
            now.at = at(moment);
            now.broker_connected = name != "broker_lost";
            now.impairments.push_back({std::string{name}, "", "No room on the disk", at(0min)});
            (void)gyled.sees(now);
        }
        said.insert(said.end(), gyled.phone.begin(), gyled.phone.end());
    }
    return said;
}

const std::vector<annunciation::Notice>& all_notices() {
    static const std::vector<annunciation::Notice> said = everything_said();
    return said;
}

TEST(Sentences, AreSaidByEveryRule) {
    std::set<std::string> said, rules;
    for (const annunciation::Notice& notice : all_notices()) said.insert(notice.rule);
    for (const RuleInfo& info : rule_infos()) rules.insert(std::string{info.name});
    for (const char* tested : {"tightness_failed", "tightness_passed"})
        rules.erase(tested);  // tightness_test

    EXPECT_EQ(said, rules);
}

TEST(Sentences, ATitleIsShortAndOfWholeWords) {
    for (const annunciation::Notice& notice : all_notices()) {
        EXPECT_LE(base::characters(notice.title), base::title_characters) << notice.title;
        EXPECT_THAT(notice.title, Not(HasSubstr("…"))) << "of an ordinary vessel nothing is cut";
        if (!notice.vessel.empty()) {
            EXPECT_THAT(notice.title, testing::StartsWith("North"));
        }
    }
}

TEST(Sentences, ATitleLeavesRoomForALongName) {
    for (const annunciation::Notice& notice : all_notices()) {
        if (notice.vessel.empty()) continue;
        const std::size_t news = base::characters(notice.title) - std::string_view{"North"}.size();
        EXPECT_LE(news, base::title_characters - 8) << notice.title;
    }
}

TEST(Sentences, AnAlarmBeginsWithItsActionAndTheActionFitsOnALockedPhone) {
    for (const annunciation::Notice& notice : all_notices()) {
        if (notice.kind != annunciation::Notice::Kind::raised) continue;
        const std::string action{first_action(notice.text)};
        EXPECT_LE(base::characters(action), action_characters) << notice.rule << ": " << action;
        EXPECT_THAT(action, Not(testing::StartsWith("First")));
        EXPECT_THAT(notice.text, Not(testing::StartsWith("Head pressure"))) << notice.rule;
    }
}

TEST(Sentences, EndWithBatchSiteAndTime) {
    for (const annunciation::Notice& notice : all_notices()) {
        EXPECT_THAT(notice.text, testing::ContainsRegex("Harbour cellar, Sun 1 Mar [0-9]{2}:[0-9]{2}\\.$"))
            << notice.rule;
        if (!notice.vessel.empty()) {
            EXPECT_THAT(notice.text, HasSubstr(" Harbour Mild, ")) << notice.rule;
        }
        EXPECT_LE(notice.text.size(), text_bytes) << notice.rule;
        EXPECT_THAT(notice.text, Not(AnyOf(HasSubstr(".."), HasSubstr("  "), HasSubstr(" ,"))))
            << notice.text;
    }
}

TEST(Sentences, OnTheHotSideSpeakOfNoBeer) {
    for (const std::vector<Situation>& one : misfortunes()) {
        if (!one.front().stage || base::is_cold_side(*one.front().stage)) continue;
        Watcher north;
        for (const Situation& now : one) (void)north.sees(now);
        for (const annunciation::Notice& notice : north.phone) {
            if (notice.kind != annunciation::Notice::Kind::raised || notice.at > at(3h)) continue;
            EXPECT_THAT(notice.text, Not(AnyOf(HasSubstr("beer"), HasSubstr("Beer")))) << notice.text;
        }
    }
}

/// Words that no brewer says, or that mean something else to one.
TEST(Sentences, CoinNoWords) {
    for (const annunciation::Notice& notice : all_notices())
        for (const char* coined :
             {"bottle of gas", "gas bottle", "is heard", "speaks", "works again after", "quiet", "bears it",
              "Air the room", "Give it", "Shut is", "bomb", "is good for", "First "})
            EXPECT_THAT(notice.text, Not(HasSubstr(coined))) << notice.rule;
}

// The lowest rated part is good for 180 kPa here: no message names more as something to set.
TEST(Sentences, NeverAskForMorePressure) {
    for (const annunciation::Notice& notice : all_notices())
        for (const char* asking : {"raise the pressure", "turn up", "Raise", "increase", "more pressure"})
            EXPECT_THAT(notice.text, Not(HasSubstr(asking))) << notice.rule;
}

}  // namespace
}  // namespace gyled::alarms
