/// Readings without a time of their own, after an absence: when were they taken?

#include "sensors/plausibility/backlog.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/sensors/harbour.hpp"

namespace gyled::sensors {
namespace {

using harbour::evening;
using namespace std::chrono_literals;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;
using Times = std::vector<Timestamp>;

/// A sensor that has spoken each minute until `evening`.
Undated each_minute() {
    Undated undated;
    for (Duration ago = 10min; ago >= 0min; ago -= 1min) note_live(undated, evening - ago);
    return undated;
}

Undated unheard_since_the_evening() {
    Undated undated;
    undated.cadence.last = evening;
    return undated;
}

/// So many, a millisecond apart, the last of them so long after the evening.
Times burst(int count, Duration last) {
    Times arrivals;
    for (int i = 1; i <= count; ++i) arrivals.push_back(evening + last - Duration{count - i});
    return arrivals;
}

TEST(Backlog, OfTenHoursOfASensorThatSpeaksEachMinuteGetsItsMinutesBack) {
    const auto times = spread(each_minute(), burst(600, 10h), Held::all);

    ASSERT_TRUE(times);
    for (int i = 0; i < 600; ++i) ASSERT_EQ((*times)[static_cast<std::size_t>(i)], evening + (i + 1) * 1min);
}

TEST(Backlog, WhateverItIsItKeepsItsOrderWithinTheGap) {
    for (const int count : {2, 3, 7, 599, 601, 5'000, 30'000})
        for (const Duration gap : {Duration{4min}, Duration{61min}, Duration{10h}, Duration{24h * 400}})
            for (const Held how : {Held::all, Held::some, Held::no_arrival})
                for (const Undated& undated : {each_minute(), unheard_since_the_evening()}) {
                    const auto times = spread(undated, burst(count, gap), how);
                    ASSERT_TRUE(times) << count << " in " << gap / 1s << " s";
                    ASSERT_THAT(*times, SizeIs(count));
                    ASSERT_GT(times->front(), evening);
                    ASSERT_LE(times->back(), evening + gap);
                    for (std::size_t i = 1; i < times->size(); ++i) ASSERT_LT((*times)[i - 1], (*times)[i]);
                }
}

struct Case {
    const char* what;
    Undated undated;
    Times arrivals;
    Held how;
    std::optional<Times> times;
};

TEST(Backlog, TableOfWhatIsLiveAndWhatIsSpread) {
    const Undated minutes = each_minute(), hourly = [] {
        Undated undated;
        for (Duration ago = 6h; ago >= 0h; ago -= 1h) note_live(undated, evening - ago);
        return undated;
    }();
    const Undated unlearnt = unheard_since_the_evening();
    const auto after = [](Duration t) { return evening + t; };
    const Case cases[] = {
        {"one alone is live", minutes, {after(10h)}, Held::all, std::nullopt},
        {"one alone whose arrival nobody knows", minutes, {after(10h)}, Held::no_arrival, Times{after(10h)}},
        {"two in a moment", minutes, burst(2, 10h), Held::all, Times{after(5h), after(10h)}},
        {"two that came at the usual pace", minutes, {after(10h), after(10h + 50s)}, Held::all, std::nullopt},
        {"of an hourly one, two within a minute",
         hourly,
         {after(8h), after(8h + 1min)},
         Held::all,
         Times{after(4h + 30s), after(8h + 1min)}},
        {"five live ones of a sensor of unknown pace",
         unlearnt,
         {after(10h), after(10h + 1s), after(10h + 2s), after(10h + 3s), after(10h + 4s)},
         Held::some,
         std::nullopt},
        {"more is coming: the first of ten hours", minutes, burst(3, 10h), Held::some,
         Times{after(1min), after(2min), after(3min)}},
        {"nothing was heard before", {}, burst(3, 10h), Held::all, std::nullopt},
        {"more than the milliseconds of the gap", minutes, Times(90'000, after(1min)), Held::all,
         std::nullopt},
        {"a clock that was set back", minutes, burst(3, -1h), Held::all, std::nullopt},
    };
    for (const Case& each : cases)
        EXPECT_EQ(spread(each.undated, each.arrivals, each.how), each.times) << each.what;
}

TEST(Backlog, OnlyWhatComesAfterAnAbsenceMayBeOne) {
    const Undated minutes = each_minute();
    EXPECT_FALSE(is_after_absence(minutes, evening + 1min));
    EXPECT_FALSE(is_after_absence(minutes, evening + 3min)) << "two reports were lost";
    EXPECT_TRUE(is_after_absence(minutes, evening + 3min + 1s));

    Undated each_second;
    for (Duration ago = 10s; ago >= 0s; ago -= 1s) note_live(each_second, evening - ago);
    EXPECT_FALSE(is_after_absence(each_second, evening + 10s)) << "a broker's restart";
    EXPECT_TRUE(is_after_absence(each_second, evening + 11s));

    EXPECT_FALSE(is_after_absence({}, evening)) << "the first word ever";
}

TEST(Backlog, AnAbsenceTeachesNoPace) {
    Undated undated = each_minute();
    note_live(undated, evening + 10h);
    EXPECT_NEAR(undated.cadence.mean_seconds, 60, 1e-6);
    EXPECT_FALSE(is_after_absence(undated, evening + 10h + 1min));
}

TEST(Backlog, AnAbsenceBeforeTheFirstWordTeachesNoPaceEither) {
    Undated undated = unheard_since_the_evening();
    for (Duration t = 10h; t <= 10h + 4min; t += 1min) note_live(undated, evening + t);
    EXPECT_NEAR(undated.cadence.mean_seconds, 60, 1e-6);
}

/// An intake as the daemon has it, second by second.
class Cellar {
public:
    explicit Cellar(std::optional<Timestamp> ended = {}) { intake.hold_backlogs(ended); }

    void hear(double celsius, Timestamp arrived) {
        take(intake.accept(harbour::message(harbour::thermometer(), std::to_string(celsius), arrived)));
    }
    void settle(Timestamp now, bool at_once = false) { take(intake.settle(now, at_once)); }
    void wait(Timestamp from, Duration span) {
        for (Duration t = 0s; t <= span; t += 1s) settle(from + t);
    }
    void live_for(Duration span, Duration interval) {
        for (Duration t = 0s; t < span; t += interval) hear(20, evening - span + t + interval);
    }
    /// Each 0.001 degC warmer than the one before, a tenth of a millisecond apart.
    void hear_backlog(int first, int count, Timestamp at) {
        for (int i = 0; i < count; ++i) hear(20 + (first + i) * 0.001, at + Duration{i / 10});
    }

    Intake intake{{harbour::thermometer()}};
    std::vector<Reading> heard;
    std::vector<Reject> rejects;

private:
    void take(const Intaken& out) {
        heard.insert(heard.end(), out.readings.begin(), out.readings.end());
        rejects.insert(rejects.end(), out.rejects.begin(), out.rejects.end());
    }
};

TEST(BacklogIntake, LiveReadingsAreGivenAtOnce) {
    Cellar cellar;
    cellar.live_for(1h, 1min);
    EXPECT_THAT(cellar.heard, SizeIs(60));
    EXPECT_FALSE(cellar.intake.holds_a_backlog());
}

TEST(BacklogIntake, ABacklogIsGivenWhenItHasEndedAndItsNewestMayBeNews) {
    Cellar cellar;
    cellar.live_for(1h, 1min);
    cellar.heard.clear();
    const Timestamp back = evening + 10h;
    for (int i = 1; i <= 600; ++i) cellar.hear(20 + i * 0.001, back + Duration{i});
    cellar.settle(back + 1s);
    EXPECT_THAT(cellar.heard, IsEmpty()) << "more may follow";
    EXPECT_TRUE(cellar.intake.holds_a_backlog());

    cellar.wait(back + 2s, 2s);

    ASSERT_THAT(cellar.heard, SizeIs(600));
    EXPECT_FALSE(cellar.intake.holds_a_backlog());
    for (std::size_t i = 0; i < 600; ++i) {
        const Timestamp truth = evening + static_cast<int>(i + 1) * 1min;
        ASSERT_LE(std::chrono::abs(cellar.heard[i].at - truth), 1s);
        ASSERT_EQ(cellar.heard[i].quality, Quality::accepted);
        ASSERT_EQ(cellar.heard[i].news_of(), i < 599 ? cellar.heard[i].at : cellar.heard[i].arrived);
    }
    EXPECT_THAT(cellar.rejects, IsEmpty());
    cellar.hear(21, back + 1min);
    EXPECT_EQ(cellar.heard.back().at, back + 1min) << "live again";
}

TEST(BacklogIntake, AReadingAloneAfterAnAbsenceIsLive) {
    Cellar cellar;
    cellar.live_for(1h, 1min);
    cellar.heard.clear();
    cellar.hear(21, evening + 10h);
    cellar.wait(evening + 10h, 3s);
    ASSERT_THAT(cellar.heard, SizeIs(1));
    EXPECT_EQ(cellar.heard[0].at, evening + 10h);
}

TEST(BacklogIntake, AQuickSensorIsNotSmearedByAShortReconnect) {
    Cellar cellar;
    cellar.live_for(10min, 1s);
    cellar.heard.clear();
    // Half a minute away: thirty in one go, then live ones again.
    for (int i = 1; i <= 30; ++i) cellar.hear(20, evening + 30s + Duration{i});
    for (Duration t = 31s; t < 60s; t += 1s) {
        cellar.hear(20, evening + t);
        cellar.settle(evening + t);
    }
    ASSERT_THAT(cellar.heard, SizeIs(59));
    for (std::size_t i = 0; i < 59; ++i)
        EXPECT_LE(std::chrono::abs(cellar.heard[i].at - (evening + static_cast<int>(i + 1) * 1s)), 1s) << i;
}

TEST(BacklogIntake, IsHeldNoLongerThanAPressureMayWait) {
    Cellar cellar;
    cellar.live_for(1h, 1min);
    cellar.heard.clear();
    const Timestamp back = evening + 24h * 7;
    Duration t{};
    for (; cellar.heard.empty() && t < 1min; t += 1s) {
        for (int i = 0; i < 900; ++i) cellar.hear(20, back + t + Duration{i});
        cellar.settle(back + t);
    }
    EXPECT_LE(t, 7s);
    EXPECT_EQ(cellar.heard.back().news_of(), cellar.heard.back().arrived);
    for (Duration rest = 11s - t; rest > 0s; rest -= 1s, t += 1s) {
        for (int i = 0; i < 900 && t < 11s; ++i) cellar.hear(20, back + t + Duration{i});
        cellar.settle(back + t);
    }
    cellar.wait(back + t, 3s);
    for (std::size_t i = 0; i < cellar.heard.size(); ++i)
        ASSERT_LE(std::chrono::abs(cellar.heard[i].at - (evening + static_cast<int>(i + 1) * 1min)), 4h)
            << "what comes later goes on where the first part ended: " << i;
}

TEST(BacklogIntake, OfASensorThatHasNeverSpokenBeginsWhereTheLastRunEnded) {
    Cellar cellar{evening};
    cellar.hear_backlog(1, 10, evening + 10h);
    cellar.wait(evening + 10h, 3s);
    ASSERT_THAT(cellar.heard, SizeIs(1)) << "ten of one millisecond are one";

    Cellar other{evening};
    for (int i = 1; i <= 10; ++i) other.hear(20, evening + 10h + Duration{i});
    other.wait(evening + 10h, 3s);
    ASSERT_THAT(other.heard, SizeIs(10));
    EXPECT_LE(std::chrono::abs(other.heard[0].at - (evening + 1h)), 1s);
}

TEST(BacklogIntake, WhatComesAgainFromTheSpoolIsKnownAndWhatIsNewGoesOn) {
    Cellar first{evening};
    for (int i = 1; i <= 100; ++i) first.hear(20, evening + 10h + Duration{i});
    first.wait(evening + 10h, 3s);
    ASSERT_THAT(first.heard, SizeIs(100));

    Cellar second;  // killed between the commit and the release
    ASSERT_THAT(second.intake.restore(first.intake.state()), IsEmpty());
    second.intake.hold_backlogs(evening + 10h + 3s);
    for (int i = 1; i <= 120; ++i) second.hear(20, evening + 10h + Duration{i});
    second.wait(evening + 10h + 10s, 3s);

    EXPECT_THAT(second.heard, SizeIs(20));
    EXPECT_THAT(second.rejects, SizeIs(100));
}

TEST(BacklogIntake, KilledWhileItCameItIsDatedAsOne) {
    Cellar first;
    first.live_for(1h, 1min);
    const auto before = first.intake.state();
    for (int i = 1; i <= 100; ++i) first.hear(20, evening + 10h + Duration{i});

    Cellar second;
    ASSERT_THAT(second.intake.restore(before), IsEmpty());
    second.intake.hold_backlogs(evening + 10h);
    for (int i = 1; i <= 100; ++i) second.hear(20, evening + 10h + Duration{i});  // from the spool
    second.settle(evening + 10h + 20s);
    for (int i = 101; i <= 600; ++i) second.hear(20, evening + 10h + 21s + Duration{i});
    second.wait(evening + 10h + 21s, 4s);

    ASSERT_THAT(second.heard, SizeIs(600));
    for (std::size_t i = 0; i < 600; ++i)
        ASSERT_LE(std::chrono::abs(second.heard[i].at - (evening + static_cast<int>(i + 1) * 1min)), 30s);
}

TEST(BacklogIntake, OfAnEarlierRunThatDidNotKnowTheTimeLiesBeforeNow) {
    Cellar cellar;
    cellar.live_for(1h, 1min);
    cellar.heard.clear();
    for (int i = 1; i <= 4; ++i) {
        Message message = harbour::message(harbour::thermometer(), "20", evening + 8h + Duration{i});
        message.stamp = Stamp::lost;
        (void)cellar.intake.accept(message);
    }
    cellar.wait(evening + 8h, 3s);
    ASSERT_THAT(cellar.heard, SizeIs(4));
    EXPECT_LE(std::chrono::abs(cellar.heard[0].at - (evening + 2h)), 1s);
}

TEST(BacklogIntake, AtTheEndNothingIsKeptBack) {
    Cellar cellar;
    cellar.live_for(1h, 1min);
    cellar.heard.clear();
    for (int i = 1; i <= 5; ++i) cellar.hear(20, evening + 1h + Duration{i});
    cellar.settle(evening + 1h, true);
    EXPECT_THAT(cellar.heard, SizeIs(5));
}

}  // namespace
}  // namespace gyled::sensors
