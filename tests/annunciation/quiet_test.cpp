// Quiet hours and their digest, repeats of what nobody acknowledges, escalation, chattering.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/annunciation/steps.hpp"

namespace gyled::annunciation {
namespace {

using testing::AllOf;
using testing::Each;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

/// "22:00-06:00" in UTC; `at` counts from 18:00.
Recipient sleeper() {
    return {.name = "phone", .quiet = quiet_hours("22:00-06:00")};
}
constexpr base::Duration bedtime = 4h, morning = 12h;

TEST(QuietHoursText, IsReadOrRefused) {
    EXPECT_EQ(quiet_hours("22:30-06:30"), (QuietHours{1350, 390}));
    EXPECT_EQ(quiet_hours("00:00-23:59"), (QuietHours{0, 1439}));
    for (const char* nonsense : {"", "22:30", "22:30-6:30", "24:00-06:00", "22:60-06:00", "aa:bb-cc:dd",
                                 "22:30-22:30", "22:30-06:30 ", "-2:30-06:30"})
        EXPECT_FALSE(quiet_hours(nonsense)) << nonsense;
}

TEST(QuietHours, GoByTheClockOfThePersonsZoneAlsoOverMidnight) {
    display::Display lisbon;
    lisbon.time_zone = "Europe/Lisbon";  // UTC+1 in July
    const auto moment = [](const char* text) { return base::from_rfc3339(text).value(); };
    const QuietHours night{22 * 60, 6 * 60}, noon{12 * 60, 13 * 60};
    EXPECT_TRUE(is_quiet(night, moment("2026-07-01T21:30:00Z"), lisbon));
    EXPECT_FALSE(is_quiet(night, moment("2026-07-01T05:00:00Z"), lisbon));
    EXPECT_TRUE(is_quiet(night, moment("2026-07-01T04:59:00Z"), lisbon));
    EXPECT_TRUE(is_quiet(noon, moment("2026-07-01T11:00:00Z"), lisbon));
    EXPECT_FALSE(is_quiet(noon, moment("2026-07-01T12:00:00Z"), lisbon));
}

TEST(Quiet, KeepsAllButTheCriticalForOneDigest) {
    House house{{sleeper()}};
    const Transition warm = raised("temperature_out_of_band", Priority::high, bedtime + 1h);
    const Transition burst = raised("pressure_over_limit", Priority::critical, bedtime + 2h);
    const Transition news = raised("carbonated", Priority::low, bedtime + 3h);

    EXPECT_THAT(house.hears({warm}, {standing(warm)}, bedtime + 1h), Each(ForNobody()));
    EXPECT_THAT(house.hears({burst}, {standing(warm), standing(burst)}, bedtime + 2h),
                ElementsAre(For("phone")));
    (void)house.hears({news, returned(news, bedtime + 3h)}, {standing(warm)}, bedtime + 3h);
    EXPECT_THAT(house.hears({}, {standing(warm)}, morning - 1min), IsEmpty());

    const auto digest = house.hears({}, {standing(warm)}, morning);
    ASSERT_THAT(digest, SizeIs(1));
    EXPECT_THAT(digest[0], For("phone"));
    EXPECT_THAT(digest[0].title, HasSubstr("2 from the quiet hours"));
    EXPECT_THAT(digest[0].text, AllOf(HasSubstr("temperature_out_of_band (stands)"), HasSubstr("carbonated"),
                                      Not(HasSubstr("pressure_over_limit"))));
    EXPECT_THAT(house.hears({}, {standing(warm)}, morning + 1min), IsEmpty()) << "once";
    EXPECT_THAT(house.hears({returned(warm, morning + 1h)}, {}, morning + 1h), ElementsAre(For("phone")))
        << "the digest was the beginning";
}

TEST(Quiet, SaysNothingOfWhatHasComeAndGone) {
    House house{{sleeper()}};
    const Transition warm = raised("temperature_out_of_band", Priority::high, bedtime + 1h);
    (void)house.hears({warm}, {standing(warm)}, bedtime + 1h);
    EXPECT_THAT(house.hears({returned(warm, bedtime + 2h)}, {}, bedtime + 2h), Each(ForNobody()));
    EXPECT_THAT(house.hears({}, {}, morning), IsEmpty());
}

TEST(Quiet, AReturnOfWhatRangInTheEveningIsKept) {
    House house{{sleeper()}};
    const Transition warm = raised("temperature_out_of_band", Priority::high, 1h);
    EXPECT_THAT(house.hears({warm}, {standing(warm)}, 1h), ElementsAre(For("phone")));
    EXPECT_THAT(house.hears({returned(warm, bedtime + 1h)}, {}, bedtime + 1h), Each(ForNobody()));
    EXPECT_THAT(house.hears({}, {}, morning), ElementsAre(For("phone")));
}

TEST(Quiet, SurvivesARestart) {
    House house{{sleeper()}};
    const Transition warm = raised("temperature_out_of_band", Priority::high, bedtime + 1h);
    (void)house.hears({warm}, {standing(warm)}, bedtime + 1h);
    House restarted{{sleeper()}};
    restarted.annunciator.restore(house.annunciator.log());
    EXPECT_THAT(restarted.hears({}, {standing(warm)}, morning), ElementsAre(For("phone")));
}

TEST(Quiet, IsNoReasonToGrowWithoutBound) {
    House house{{sleeper()}};
    for (int i = 0; i < 200; ++i) {
        const Transition step =
            raised("sensor_silent", Priority::medium, bedtime + i * 1min, "s" + std::to_string(i));
        (void)house.hears({step}, {standing(step)}, bedtime + i * 1min);
    }
    EXPECT_LE(house.annunciator.log().kept.size(), Policy{}.kept_most);
    EXPECT_LE(house.annunciator.log().often.size(), 62U) << "those of the last hour";
}

TEST(Repeat, OfACriticalOneEachHalfHourUntilItIsAcknowledged) {
    House house{{{.name = "phone"}}};
    const Transition burst = raised("pressure_over_limit", Priority::critical);
    EXPECT_THAT(house.hears({burst}, {standing(burst)}, 0min), SizeIs(1));
    EXPECT_THAT(house.hears({}, {standing(burst)}, 29min), IsEmpty());
    const auto again = house.hears({}, {standing(burst)}, 30min);
    ASSERT_THAT(again, SizeIs(1));
    EXPECT_THAT(again[0].text, HasSubstr("It still is so"));
    EXPECT_EQ(again[0].thread, burst.alarm);
    EXPECT_NE(again[0].id, notice_of(burst).id) << "a receiver must not take it for a repeated delivery";
    Occurrence seen = standing(burst);
    seen.state = AlarmState::acknowledged;
    EXPECT_THAT(house.hears({}, {seen}, 61min), IsEmpty());
}

TEST(Repeat, OfNothingMilder) {
    House house{{{.name = "phone"}}};
    const Transition warm = raised("temperature_out_of_band", Priority::high);
    (void)house.hears({warm}, {standing(warm)}, 0min);
    EXPECT_THAT(house.hears({}, {standing(warm)}, 10h), IsEmpty());
}

TEST(Escalation, GoesToTheNextMessengerWhenNobodyAcknowledges) {
    House house{{{.name = "phone"}, {.name = "neighbour", .unacknowledged_for = 15min}}};
    const Transition burst = raised("pressure_over_limit", Priority::critical);
    EXPECT_THAT(house.hears({burst}, {standing(burst)}, 0min), ElementsAre(For("phone")));
    EXPECT_THAT(house.hears({}, {standing(burst)}, 14min), IsEmpty());
    EXPECT_THAT(house.hears({}, {standing(burst)}, 15min), ElementsAre(For("neighbour")));
    EXPECT_THAT(house.hears({}, {standing(burst)}, 16min), IsEmpty());
    const auto over = house.hears({returned(burst, 20min)}, {}, 20min);
    ASSERT_THAT(over, SizeIs(1));
    EXPECT_THAT(over[0].recipients, ElementsAre("phone", "neighbour"));
}

TEST(Escalation, IsSparedWhatIsAcknowledgedOrMilder) {
    House house{{{.name = "neighbour", .unacknowledged_for = 15min}}};
    const Transition burst = raised("pressure_over_limit", Priority::critical);
    const Transition warm = raised("temperature_out_of_band", Priority::high);
    EXPECT_THAT(house.hears({burst, warm}, {standing(burst), standing(warm)}, 0min), Each(ForNobody()));
    Occurrence seen = standing(burst);
    seen.state = AlarmState::acknowledged;
    EXPECT_THAT(house.hears({}, {seen, standing(warm)}, 20min), IsEmpty());
}

TEST(Chattering, IsSaidOnceAndThenToldWhenItStands) {
    House house{{{.name = "phone"}}};
    std::vector<Notice> begun;
    for (int i = 0; i < 8; ++i) {
        const base::Duration moment = i * 5min;
        const Transition warm = raised("temperature_out_of_band", Priority::high, moment);
        for (Notice& notice : house.hears({warm}, {standing(warm)}, moment)) begun.push_back(notice);
        (void)house.hears({returned(warm, moment + 2min)}, {}, moment + 2min);
    }
    ASSERT_THAT(begun, SizeIs(4));
    EXPECT_THAT(begun[3].text, HasSubstr("comes and goes"));
    EXPECT_THAT(begun[2].text, Not(HasSubstr("comes and goes")));

    const Transition stays = raised("temperature_out_of_band", Priority::high, 40min);
    EXPECT_THAT(house.hears({stays}, {standing(stays)}, 40min), IsEmpty());
    EXPECT_THAT(house.hears({}, {standing(stays)}, 69min), IsEmpty());
    Occurrence fresh = standing(stays);
    fresh.present.evidence_at = at(70min);
    EXPECT_THAT(house.hears({}, {fresh}, 70min), ElementsAre(For("phone")));
}

TEST(Chattering, NeverHoldsBackWhatIsCritical) {
    House house{{{.name = "phone"}}};
    for (int i = 0; i < 8; ++i) {
        const Transition burst = raised("pressure_over_limit", Priority::critical, i * 5min);
        EXPECT_THAT(house.hears({burst}, {standing(burst)}, i * 5min), SizeIs(1)) << i;
        (void)house.hears({returned(burst, i * 5min + 2min)}, {}, i * 5min + 2min);
    }
}

}  // namespace
}  // namespace gyled::annunciation
