// What a panel does beyond its rules: remembers, takes a person's words, speaks in units.
#include <algorithm>

#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

Watcher warm_since_ten_minutes() {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(21, 0min));
    (void)north.sees(beer_at(21.4, 10min));
    return north;
}

TEST(Restart, DoesNotRingAgain) {
    Watcher before = warm_since_ten_minutes();
    (void)before.sees(head_at(150, 11min));

    Watcher after{band_after(10min)};
    before.restart_as(after);

    EXPECT_EQ(after.panel.state(), before.panel.state());
    EXPECT_EQ(after.sees(with(beer_at(21.4, 30min), Quantity::head_pressure, 150)), Said{});
    EXPECT_EQ(after.panel.standing().size(), 2U);
    EXPECT_EQ(after.panel.standing()[0].last.alarm, before.panel.standing()[0].last.alarm)
        << "ids are stable";
    (void)after.sees(beer_at(19, 40min));
    EXPECT_EQ(after.sees(beer_at(19, 45min)).size(), 2U);
    ASSERT_EQ(after.phone.size(), 2U) << "a return goes to those who heard the beginning, before the restart";
    EXPECT_EQ(after.phone[0].text,
              "Temperature is in its band again. Lasted 45 min, at worst 21.4 °C. Harbour Mild, Harbour "
              "cellar, Sun 1 "
              "Mar 18:45.");
}

TEST(Restart, ADatabaseOfVersionOneGoesOnFromItsRecordedSteps) {
    Watcher before = warm_since_ten_minutes();
    Watcher after{band_after(10min)};
    PanelState state;
    state.occurrences.push_back(occurrence_from(before.log.back()));
    after.panel.restore(state);
    after.annunciator.restore(annunciation::log_from({before.log.back()}));

    EXPECT_EQ(after.sees(beer_at(21.4, 30min)), Said{});
    (void)after.sees(beer_at(19, 40min));
    EXPECT_EQ(after.sees(beer_at(19, 45min)), Said{"temperature_out_of_band cleared"});
    EXPECT_EQ(after.log.back().alarm, before.log.back().alarm);
}

TEST(Restart, AShelfOfVersionOneIsNotForEver) {
    Watcher before = warm_since_ten_minutes();
    const auto shelved = before.panel.shelve(before.log[0].alarm, at(11min), at(2h));
    ASSERT_TRUE(shelved);
    Watcher after{band_after(10min)};
    PanelState state;
    state.occurrences.push_back(occurrence_from(*shelved));
    after.panel.restore(state);

    EXPECT_EQ(after.sees(beer_at(21.4, 30min)), Said{});
    (void)after.sees(beer_at(19, 40min));
    EXPECT_EQ(after.sees(beer_at(19, 45min)).size(), 1U);
}

TEST(Restart, InformationThatWasGivenIsNotGivenAgain) {
    Situation now = fermenting(0min);
    now.facts.push_back({.kind = estimation::FactKind::fermentation_started,
                         .at = at(0min),
                         .evidence = "It bubbles",
                         .revoked_because = {}});
    Watcher before{band_after(10min)};
    ASSERT_EQ(before.sees(now), Said{"fermentation_started raised"});

    Watcher after{band_after(10min)};
    before.restart_as(after);

    EXPECT_EQ(after.sees(now), Said{});
}

TEST(Restart, InANewStageWhatStandsStandsOn) {
    const auto pitched = [](Duration moment) {
        Situation now = beer_at(24, moment);
        now.stage_since = at(0min);
        return now;
    };
    Watcher before{band_after(10min)};
    for (auto moment = 0min; moment <= 2h + 20min; moment += 10min) (void)before.sees(pitched(moment));
    ASSERT_EQ(before.phone.size(), 1U);

    Watcher after{band_after(10min)};
    before.restart_as(after);
    Situation now = pitched(2h + 21min);
    now.stage_since = at(60min);  // by the stage's own patience it could still be on its way
    EXPECT_EQ(after.sees(now), Said{});
}

TEST(Restart, RunningDelaysRunOn) {
    Watcher before{band_after(10min)};
    (void)before.sees(beer_at(21, 0min));

    Watcher after{band_after(10min)};
    before.restart_as(after);

    EXPECT_EQ(after.sees(beer_at(21, 10min)), Said{"temperature_out_of_band raised"});
}

TEST(Restart, AnAlarmWhoseRuleIsGoneIsClearedForThoseWhoHeardIt) {
    Watcher before = warm_since_ten_minutes();
    RuleTuning off;
    off.rule = "temperature_out_of_band";
    off.enabled = false;
    Watcher after{{off}};
    before.restart_as(after);

    EXPECT_EQ(after.sees(beer_at(21, 11min)), Said{"temperature_out_of_band cleared"});
    EXPECT_EQ(after.phone.back().title, "temperature out of band is no longer watched");
    EXPECT_TRUE(after.panel.state().occurrences.empty());
    EXPECT_TRUE(after.annunciator.log().entries.empty());
}

TEST(Restart, StandsAgainstNonsense) {
    Occurrence foreign;
    foreign.state = AlarmState::raised;
    foreign.last.vessel = "south";
    Occurrence normal;
    normal.last.vessel = "north";
    Occurrence hollow;
    hollow.state = AlarmState::raised;
    hollow.last.vessel = "north";
    hollow.last.rule = "temperature_out_of_band";
    Occurrence unknown = hollow;
    unknown.last.rule = "tea_time";

    Watcher north{band_after(10min)};
    PanelState nonsense;
    nonsense.occurrences = {foreign, normal, hollow, hollow, unknown};
    north.panel.restore(nonsense);

    EXPECT_EQ(north.panel.state().occurrences.size(), 2U);
    EXPECT_THAT(north.sees(beer_at(19, 0min)), testing::Contains("tea_time cleared silently"));
}

TEST(Shelving, KeepsQuietUntilItsEndAndRingsIfItStillStands) {
    Watcher north = warm_since_ten_minutes();
    const std::string id = north.log[0].alarm;

    const auto shelved = north.panel.shelve(id, at(11min), at(2h), "dry hopping");
    ASSERT_TRUE(shelved);
    EXPECT_EQ(shelved->state, AlarmState::shelved);
    EXPECT_EQ(shelved->text, "Shelved until Sun 1 Mar 20:00 (dry hopping).");
    EXPECT_FALSE(shelved->annunciated);
    EXPECT_EQ(north.sees(beer_at(19, 30min)), Said{});
    EXPECT_EQ(north.sees(beer_at(22, 1h)), Said{});
    EXPECT_EQ(north.panel.standing()[0].shelved_until, at(2h));
    EXPECT_EQ(north.sees(beer_at(22, 2h)), Said{"temperature_out_of_band raised"});
    EXPECT_FALSE(north.panel.standing()[0].shelved_until);
    EXPECT_NE(north.phone[0].id, north.phone[1].id);
    EXPECT_EQ(north.phone[0].thread, north.phone[1].thread);
}

TEST(Shelving, EndsWithTheAlarmWhenItHasReturned) {
    Watcher north = warm_since_ten_minutes();
    ASSERT_TRUE(north.panel.shelve(north.log[0].alarm, at(11min), at(2h)));

    EXPECT_EQ(north.sees(beer_at(19, 1h)), Said{});
    EXPECT_EQ(north.sees(beer_at(19, 2h)), Said{"temperature_out_of_band cleared"});
}

TEST(Shelving, AlwaysHasAnEnd) {
    Watcher north = warm_since_ten_minutes();
    (void)north.sees(with(beer_at(21, 11min), Quantity::head_pressure, 150));
    const std::string warm = north.log[0].alarm;
    const std::string pressure = north.log[1].alarm;

    EXPECT_FALSE(north.panel.shelve(warm, at(12min), at(12min)));
    EXPECT_FALSE(north.panel.shelve(warm, at(12min), at(0min)));
    EXPECT_FALSE(north.panel.shelve(warm, at(12min), Timestamp::max()));
    EXPECT_TRUE(north.panel.shelve(warm, at(12min), at(24h * 29)));
    EXPECT_FALSE(north.panel.shelve(pressure, at(12min), at(25h))) << "a safety rule: a day at most";
    EXPECT_TRUE(north.panel.shelve(pressure, at(12min), at(24h)));
}

TEST(Acknowledging, IsRecordedAndSurvivesAShortReturn) {
    Watcher north = warm_since_ten_minutes();
    const std::string id = north.log[0].alarm;

    const auto seen = north.panel.acknowledge(id, at(11min));
    ASSERT_TRUE(seen);
    EXPECT_EQ(seen->state, AlarmState::acknowledged);
    EXPECT_EQ(seen->at, at(11min));
    EXPECT_FALSE(seen->annunciated);
    EXPECT_FALSE(north.panel.acknowledge(id, at(12min))) << "twice is one too many";
    (void)north.sees(beer_at(19, 13min));
    (void)north.sees(beer_at(22, 14min));
    EXPECT_EQ(north.panel.standing()[0].state, AlarmState::acknowledged);
    (void)north.sees(beer_at(19, 20min));
    EXPECT_EQ(north.sees(beer_at(19, 25min)), Said{"temperature_out_of_band cleared"});
    EXPECT_FALSE(north.panel.acknowledge(id, at(30min)));
}

TEST(Acknowledging, LastsForTwelveHoursWhileItStands) {
    Watcher north = warm_since_ten_minutes();
    const std::string id = north.log[0].alarm;
    ASSERT_TRUE(north.panel.acknowledge(id, at(11min)));
    for (auto moment = 12min; moment < 12h + 11min; moment += 1min)
        ASSERT_EQ(north.sees(beer_at(22, moment)), Said{}) << moment / 1min;

    EXPECT_EQ(north.sees(beer_at(22, 12h + 11min)), Said{"temperature_out_of_band raised"});
    EXPECT_EQ(north.log.back().alarm, id) << "the same occurrence";
    EXPECT_TRUE(north.panel.acknowledge(id, at(13h))) << "and it can be acknowledged anew";
}

TEST(Acknowledging, WorksWhileTheAlarmSeemsToReturnButOnce) {
    Watcher north = warm_since_ten_minutes();
    const std::string id = north.log[0].alarm;
    (void)north.sees(beer_at(19, 12min));

    EXPECT_TRUE(north.panel.acknowledge(id, at(13min)));
    EXPECT_FALSE(north.panel.acknowledge(id, at(14min)));
    (void)north.sees(beer_at(22, 15min));
    EXPECT_EQ(north.panel.standing()[0].state, AlarmState::acknowledged);
}

TEST(Acknowledging, CountsForTheStepThatWasSeenOnly) {
    Watcher north{band_after(10min)};
    (void)north.sees(head_at(150, 0min));
    ASSERT_TRUE(north.panel.acknowledge(north.log[0].alarm, at(1min)));
    (void)north.sees(head_at(175, 2min));
    (void)north.sees(head_at(100, 3min));

    (void)north.sees(head_at(175, 4min));
    EXPECT_EQ(north.panel.standing().at(0).state, AlarmState::raised);
}

TEST(Acknowledging, RefusesWhatDoesNotStandInWords) {
    Watcher north = warm_since_ten_minutes();
    for (const std::string nonsense : {"", "north", "north/temperature_out_of_band/0", "'; drop table"}) {
        EXPECT_THAT(north.panel.acknowledge(nonsense, at(0min)).error(), testing::HasSubstr("stands"));
        EXPECT_THAT(north.panel.shelve(nonsense, at(0min), at(1h)).error(), testing::HasSubstr("stands"));
    }
}

TEST(Time, RunningBackwardsDelaysAndNeverRings) {
    Watcher north{band_after(10min)};
    (void)north.sees(beer_at(22, 1h));
    for (const auto moment : {50min, 40min, 0min, 30min, 59min})
        EXPECT_EQ(north.sees(beer_at(22, moment)), Said{});
    EXPECT_EQ(north.sees(beer_at(22, 70min)), Said{"temperature_out_of_band raised"});
}

TEST(Occurrence, MostUrgentFirst) {
    Watcher north = warm_since_ten_minutes();
    (void)north.sees(with(beer_at(21, 11min), Quantity::head_pressure, 150));
    EXPECT_EQ(north.panel.standing()[0].last.rule, "temperature_out_of_band");

    (void)north.sees(with(beer_at(21, 12min), Quantity::head_pressure, 175));
    EXPECT_EQ(north.panel.standing()[0].last.rule, "pressure_near_limit");
}

TEST(Display, TheSentenceSpeaksThePersonsUnitsAndTime) {
    display::Display us = display::Display::us();
    us.time_zone = "America/Denver";
    Watcher north{band_after(10min), us};
    (void)north.sees(beer_at(21, 0min));
    (void)north.sees(beer_at(21.4, 10min));
    (void)north.sees(believing(head_at(120, 11min), Quantity::limit_time, base::unix_seconds(at(71min))));

    EXPECT_EQ(north.phone[0].title, "North is warm: 70.5 °F");
    EXPECT_THAT(
        north.phone[1].text,
        testing::HasSubstr("is 17.4 psi and rises: it reaches the limit of 26.1 psi about Sun 1 Mar 12:11"));
}

TEST(Titles, AreShortHoweverTheVesselIsCalled) {
    for (const std::string& name :
         {std::string(500, 'x'), std::string("Fermentador da adega do porto, à esquerda da escada, nº 2"),
          std::string("ééééééééééééééééééééééééééééééééééééééééééééééééééééééééééééééééééééééé"),
          std::string{}}) {
        Watcher north{band_after(10min)};
        const auto named = [&](Situation now) {
            now.vessel_name = name;
            return now;
        };
        (void)north.sees(named(beer_at(25, 0min)));
        (void)north.sees(named(with(beer_at(25, 10min), Quantity::head_pressure, 170)));
        ASSERT_EQ(north.phone.size(), 2U);
        for (const annunciation::Notice& notice : north.phone) {
            const auto characters = std::count_if(notice.title.begin(), notice.title.end(), [](char c) {
                return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
            });
            EXPECT_LE(characters, 60) << notice.title;
        }
        EXPECT_THAT(north.phone[0].title, testing::HasSubstr("25.0 °C"))
            << "the news is never what is cut off";
    }
}

TEST(Evaluation, AnEmptySituationIsBorne) {
    Watcher north{band_after(10min)};
    EXPECT_EQ(north.sees(Situation{}), Said{});
    EXPECT_EQ(north.sees(fermenting(0min)), Said{});
    EXPECT_EQ(north.sees(Situation{}), Said{});
}

}  // namespace
}  // namespace gyled::alarms
