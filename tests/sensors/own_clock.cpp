/// A sensor's own clock against ours: what is news, what is a backlog, what is corrected.

#include "sensors/health/own_clock.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/sensors/harbour.hpp"

namespace gyled::sensors {
namespace {

using harbour::evening;
using namespace std::chrono_literals;

/// A head pressure sensor whose payload carries a time.
SensorSpec dated_gauge() {
    SensorSpec spec = harbour::pressure_gauge();
    spec.payload = PayloadKind::json;
    spec.pointer = "/kpa";
    spec.time_pointer = "/t";
    return spec;
}

class Gauge {
public:
    Reading operator()(Duration taken, Duration arrived, double kpa) {
        const auto text =
            fmt::format(R"({{"kpa": {}, "t": {:.3f}}})", kpa, base::unix_seconds(evening + taken));
        const Intaken out = intake.accept(harbour::message(dated_gauge(), text, evening + arrived));
        Reading none;
        none.quality = Quality::out_of_range;
        return out.readings.empty() ? none : out.readings.front();
    }
    [[nodiscard]] std::optional<Duration> clock_off() const { return intake.health()[0].clock_off; }

    Intake intake{{dated_gauge()}};
};

TEST(OwnClock, OneFiveHoursBehindIsRecognisedNamedAndCorrected) {
    for (const Duration behind : {Duration{61min}, Duration{5h}, Duration{5h + 30min}}) {
        Gauge gauge;
        EXPECT_EQ(gauge(0s - behind, 0s, 110).lateness, Lateness::unproven) << "it may be old";
        const Reading second = gauge(1s - behind, 1s + 200ms, 110.1);
        EXPECT_EQ(second.lateness, Lateness::live);
        EXPECT_EQ(second.news_of(), evening + 1s + 200ms) << "judged by its arrival";
        EXPECT_EQ(second.at, evening + 1s - behind) << "not corrected before it is sure";

        Reading last;
        for (Duration t = 2s; t < 90s; t += 1s) last = gauge(t - behind, t + 100ms, 111);
        EXPECT_EQ(last.lateness, Lateness::none);
        EXPECT_LE(evening + 89s - last.at, 1min) << "corrected by whole time zones";
        ASSERT_TRUE(gauge.clock_off());
        EXPECT_LE(std::chrono::abs(*gauge.clock_off() - behind), 1min);
    }
}

TEST(OwnClock, SetBackByAnHourWhileItRunsIsNoticedAtOnce) {
    Gauge gauge;
    for (Duration t = 0s; t < 2h; t += 10s)
        EXPECT_EQ(gauge(t, t + 1s, 100 + 1e-3 * static_cast<double>(t / 10s)).quality, Quality::accepted);
    // Daylight saving: it tells times that it has told before.
    int news = 0;
    for (Duration t = 2h; t < 2h + 3min; t += 10s) {
        const Reading reading = gauge(t - 1h, t + 1s, 190);
        EXPECT_EQ(reading.quality, Quality::accepted) << "another value is no duplicate";
        news += evening + t + 1s - reading.news_of() < 5min ? 1 : 0;
    }
    EXPECT_GE(news, 17);
    EXPECT_EQ(gauge.clock_off(), Duration{1h});
}

TEST(OwnClock, ABacklogIsOldHoweverItComes) {
    Gauge burst;
    EXPECT_EQ(burst(-8h, 0s, 110).lateness, Lateness::unproven) << "the first could be either";
    for (int i = 1; i < 400; ++i)
        EXPECT_EQ(burst(-8h + i * 1min, i * 3ms, 110).lateness, Lateness::backlog) << i;

    Gauge slow;  // one message each two seconds, each a minute nearer
    (void)slow(-8h, 0s, 110);
    for (int i = 1; i < 200; ++i)
        EXPECT_EQ(slow(-8h + i * 1min, i * 2s, 110).lateness, Lateness::backlog) << i;

    Gauge backwards;  // newest first
    (void)backwards(-10min, 0s, 110);
    for (int i = 1; i < 200; ++i)
        EXPECT_EQ(backwards(-10min - i * 1min, i * 3ms, 110).lateness, Lateness::backlog) << i;

    Gauge fast;  // taken ten times a second
    (void)fast(-1h, 0s, 110);
    for (int i = 1; i < 1000; ++i)
        EXPECT_EQ(fast(-1h + i * 100ms, i * 1ms, 110).lateness, Lateness::backlog) << i;

    for (const Gauge* gauge : {&burst, &slow, &backwards, &fast}) EXPECT_FALSE(gauge->clock_off());
}

TEST(OwnClock, OneThatSendsAtItsNextWakeUpIsRight) {
    Gauge gauge;  // reads, sleeps an hour, sends
    for (int i = 0; i < 50; ++i) (void)gauge(i * 1h, (i + 1) * 1h, 100);
    EXPECT_FALSE(gauge.clock_off());
}

TEST(OwnClock, DeliveredTwiceIsKnownAgainAlsoWhenTheCorrectionBegins) {
    Gauge gauge;
    for (Duration t = 0s; t < 5min; t += 5s) {
        (void)gauge(t - 5h, t + 1s, 110);
        EXPECT_EQ(gauge(t - 5h, t + 2s, 110).quality, Quality::duplicate) << t.count();
    }
    EXPECT_EQ(gauge(10s - 5h, 5min, 110).quality, Quality::duplicate) << "from before the correction";
    EXPECT_EQ(gauge(4min - 5h, 5min, 110).quality, Quality::duplicate) << "from after it";
}

TEST(OwnClock, SetRightItIsBelievedAgain) {
    Gauge gauge;
    for (Duration t = 0s; t < 3min; t += 5s) (void)gauge(t - 5h, t + 1s, 110);
    ASSERT_TRUE(gauge.clock_off());

    const Reading reading = gauge(3min, 3min + 1s, 111);
    EXPECT_EQ(reading.at, evening + 3min);
    EXPECT_FALSE(gauge.clock_off());
    EXPECT_EQ(gauge(2min - 5h, 3min + 2s, 110).quality, Quality::duplicate) << "still known";
}

TEST(OwnClock, NeverSetItIsJudgedByArrivalFromTheSecondMessageOn) {
    Gauge gauge;
    const Duration boot = Timestamp{} + 30s - evening;
    EXPECT_EQ(gauge(boot, 0s, 190).quality, Quality::out_of_range) << "refused: a stray time of 1970";
    const Reading second = gauge(boot + 5s, 5s, 190);
    EXPECT_EQ(second.quality, Quality::accepted);
    EXPECT_EQ(second.at, evening + 5s);
}

TEST(OwnClock, AheadIsNamed) {
    Gauge gauge;
    const Reading ahead = gauge(5h, 0s, 110);
    EXPECT_EQ(ahead.at, evening);
    EXPECT_EQ(gauge.clock_off(), Duration{-5h});
    const Reading tolerated = gauge(110s + 1s, 1s, 110);
    EXPECT_EQ(tolerated.at, evening + 111s) << "the key of a reading is its own time";
    EXPECT_EQ(tolerated.news_of(), evening + 1s) << "but news is never of a time yet to come";
    EXPECT_FALSE(gauge.clock_off());
}

TEST(OwnClock, ARetainedMessageSaysNothingOfIt) {
    Gauge gauge;
    for (int i = 0; i < 20; ++i) {
        const auto text =
            fmt::format(R"({{"kpa": {}, "t": {:.3f}}})", 190 + i, base::unix_seconds(evening - 5h + i * 10s));
        const Intaken out = gauge.intake.accept(harbour::retained(dated_gauge(), text, evening + i * 10s));
        EXPECT_NE(out.readings.at(0).lateness, Lateness::live);
    }
    EXPECT_FALSE(gauge.clock_off());
}

TEST(OwnClock, SurvivesARestart) {
    Gauge gauge;
    for (Duration t = 0s; t < 3min; t += 5s) (void)gauge(t - 5h, t + 1s, 110);
    Gauge next;
    EXPECT_TRUE(next.intake.restore(gauge.intake.state()).empty());

    EXPECT_EQ(next(3min - 5h, 3min + 1s, 111).at, evening + 3min);
    EXPECT_EQ(next.clock_off(), Duration{5h});
}

}  // namespace
}  // namespace gyled::sensors
