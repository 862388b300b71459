// Who hears of a transition: recipients, suppression by cause, old evidence, returns, information.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/annunciation/steps.hpp"

namespace gyled::annunciation {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

TEST(Recipients, AreThoseWhoWantThisPriority) {
    House house;
    const Transition medium = raised("pressure_out_of_band", Priority::medium);
    const Transition high = raised("temperature_out_of_band", Priority::high);

    const auto notices = house.hears({medium, high}, {standing(medium), standing(high)}, 0min);

    ASSERT_EQ(notices.size(), 2U);
    EXPECT_THAT(notices[0].recipients, ElementsAre("page"));
    EXPECT_THAT(notices[1].recipients, ElementsAre("page", "phone"));
    EXPECT_TRUE(house.last[0].annunciated);
}

TEST(Recipients, ADrillGoesToAll) {
    Notice drill;
    drill.kind = Notice::Kind::drill;
    drill.priority = Priority::low;

    EXPECT_THAT(House{}.annunciator.address(drill).recipients, ElementsAre("page", "phone"));
}

TEST(Returns, GoToThoseWhoHeardTheMostUrgentStep) {
    House house;
    const Transition medium = raised("pressure_near_limit", Priority::medium);
    Transition critical = medium;
    critical.priority = Priority::critical;
    critical.at = at(1min);
    (void)house.hears({medium}, {standing(medium)}, 0min);
    (void)house.hears({critical}, {standing(critical)}, 1min);
    Transition down = returned(medium, 9min);  // as an alarm that was raised anew at a lower step

    const auto notices = house.hears({down}, {}, 9min);

    ASSERT_EQ(notices.size(), 1U);
    EXPECT_EQ(notices[0].kind, Notice::Kind::returned);
    EXPECT_THAT(notices[0].recipients, ElementsAre("page", "phone"));
    EXPECT_THAT(house.annunciator.log().entries, IsEmpty());
}

TEST(Returns, ThatNobodyHeardBeginAreRecordedOnly) {
    House house;
    EXPECT_THAT(house.hears({returned(raised("leak_suspected", Priority::high), 1min)}, {}, 1min), IsEmpty());
    EXPECT_FALSE(house.last[0].annunciated);
}

TEST(Suppression, LastsAsLongAsTheCauseStandsAsUrgently) {
    House house;
    const Transition cause = raised("pressure_near_limit", Priority::critical);
    const Transition effect = raised("pressure_rising_to_limit", Priority::high);

    EXPECT_EQ(house.hears({cause, effect}, {standing(cause), standing(effect)}, 0min).size(), 1U);
    EXPECT_FALSE(house.last[1].annunciated);
    EXPECT_THAT(house.hears({}, {standing(cause), standing(effect)}, 10min), IsEmpty());

    Occurrence still = standing(effect);
    still.present.evidence_at = at(20min);
    const auto notices = house.hears({returned(cause, 20min)}, {still}, 20min);
    ASSERT_EQ(notices.size(), 2U);
    EXPECT_EQ(notices[1].rule, "pressure_rising_to_limit");
    EXPECT_THAT(notices[1].text, testing::HasSubstr(" It still is so. "));
    ASSERT_EQ(house.last.size(), 2U) << "the late annunciation is a step to be recorded";
    EXPECT_TRUE(house.last[1].annunciated);
    EXPECT_EQ(house.last[1].at, at(20min));
    EXPECT_EQ(house.last[1].raised_at, at(0min));
    EXPECT_THAT(house.hears({}, {still}, 21min), IsEmpty());
}

TEST(Suppression, AMilderCauseExplainsNothing) {
    House house;
    const Transition cause = raised("pressure_near_limit", Priority::medium);
    const Transition effect = raised("pressure_rising_to_limit", Priority::high);

    EXPECT_EQ(house.hears({cause, effect}, {standing(cause), standing(effect)}, 0min).size(), 2U);
}

TEST(Suppression, SensorsThatFellSilentAtOneMomentAreOneNotice) {
    House house;
    const Transition one = raised("sensor_silent", Priority::medium, 0min, "a");
    const Transition two = raised("sensor_silent", Priority::medium, 0min, "b");
    const Transition later = raised("sensor_silent", Priority::medium, 1min, "c");

    EXPECT_EQ(house.hears({one, two}, {standing(one), standing(two)}, 0min).size(), 1U);
    EXPECT_EQ(house.hears({later}, {standing(one), standing(two), standing(later)}, 1min).size(), 1U);
}

TEST(OldEvidence, IsHeldBackUntilFreshEvidenceComes) {
    House house;
    Transition old = raised("temperature_out_of_band", Priority::high);
    old.evidence_at = at(-61min);
    EXPECT_THAT(house.hears({old}, {standing(old)}, 0min), IsEmpty());

    Occurrence fresh = standing(old);
    fresh.present.evidence_at = at(5min);
    EXPECT_EQ(house.hears({}, {fresh}, 5min).size(), 1U);
}

TEST(OldEvidence, NobodyIsRungForWhatIsAcknowledgedShelvedOrReturning) {
    for (const AlarmState state : {AlarmState::acknowledged, AlarmState::shelved, AlarmState::returning}) {
        House house;
        Occurrence one = standing(raised("temperature_out_of_band", Priority::high));
        one.state = state;
        EXPECT_THAT(house.hears({}, {one}, 0min), IsEmpty()) << name(state);
    }
}

TEST(Information, IsNewsForTwelveHoursAndClosesSilently) {
    for (const auto& [age, notices] : {std::pair{12h, 1U}, std::pair{13h, 0U}}) {
        House house;
        Transition finished = raised("fermentation_finished", Priority::low);
        finished.evidence_at = at(-age);
        EXPECT_EQ(house.hears({finished, returned(finished, 0min)}, {}, 0min).size(), notices);
        EXPECT_FALSE(house.last[1].annunciated);

        const auto revoked = house.hears({returned(finished, 50h)}, {}, 50h);
        ASSERT_EQ(revoked.size(), notices) << "to those who heard it";
        for (const Notice& one : revoked) EXPECT_EQ(one.kind, Notice::Kind::information);
    }
}

TEST(Log, HoldsOneEntryForEachSubjectHoweverManyBatchesPass) {
    House house;
    for (auto batch = 0h; batch < 10000h; batch += 100h) {
        const Transition started = raised("fermentation_started", Priority::low, batch);
        (void)house.hears({started, returned(started, batch)}, {}, batch);
    }
    EXPECT_EQ(house.annunciator.log().entries.size(), 1U);
}

TEST(Log, OfADatabaseOfVersionOneHoldsWhatRangAndWhatAPersonActedOn) {
    Transition rang = raised("leak_suspected", Priority::high);
    rang.annunciated = true;
    Transition seen = raised("temperature_out_of_band", Priority::high);
    seen.state = AlarmState::acknowledged;
    const Transition silent = raised("pressure_out_of_band", Priority::medium);

    const Log log = log_from({rang, seen, silent});

    ASSERT_EQ(log.entries.size(), 2U);
    EXPECT_EQ(log.entries[0].alarm, rang.alarm);
    EXPECT_EQ(log.entries[1].alarm, seen.alarm);
}

}  // namespace
}  // namespace gyled::annunciation
