/// When a sensor is said to be stuck, and when not. The streams are synthetic and seeded.

#include "sensors/health/stillness.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>

#include "sensors/intake.hpp"
#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;

/// What a sensor of this resolution says of a truth, with noise; both in the canonical unit.
struct Instrument {
    double step, noise;
    std::mt19937 random{42};
    double read(double truth) {
        const double seen = noise > 0 ? truth + std::normal_distribution<double>{0, noise}(random) : truth;
        return std::round(seen / step) * step;
    }
};

/// Takes in `count` readings, one each `cadence`, the first at `from`; the truth by its hours since
/// `evening`.
Timestamp feed(Stillness& stillness, Timestamp from, Duration cadence, int count,
               const std::function<double(double)>& value) {
    for (int i = 0; i < count; ++i, from += cadence)
        note(stillness, {from, value(gyled::base::hours_between(evening, from))});
    return from;
}

TEST(Stillness, OfALivelySensorIsSeenAfterSixHoursAndDatedWithItsFirstReading) {
    Stillness stillness;
    Instrument thermometer{0.0625, 0.05};
    const Timestamp stops = feed(stillness, evening, 1min, 600, [&](double) { return thermometer.read(19); });
    EXPECT_FALSE(stuck_since(stillness));

    const Timestamp sixth = feed(stillness, stops, 1min, 6 * 60, [](double) { return 19.5; });
    EXPECT_FALSE(stuck_since(stillness)) << "five hours and 59 minutes";
    feed(stillness, sixth, 1min, 1, [](double) { return 19.5; });
    EXPECT_EQ(stuck_since(stillness), stops);
}

TEST(Stillness, OfASlowSensorTakesADayOfItsReadings) {
    Stillness stillness;
    Instrument hydrometer{0.0001, 0.0005};
    const Timestamp stops = feed(stillness, evening, 1h, 100, [&](double) { return hydrometer.read(1.02); });

    feed(stillness, stops, 1h, 24, [](double) { return 1.031; });
    EXPECT_FALSE(stuck_since(stillness)) << "23 repeats";
    feed(stillness, stops, 1h, 25, [](double) { return 1.031; });
    EXPECT_EQ(stuck_since(stillness), stops);
}

TEST(Stillness, EndsWithTheFirstOtherValue) {
    Stillness stillness;
    Instrument gauge{0.01, 0.2};
    Timestamp now = feed(stillness, evening, 1min, 600, [&](double) { return gauge.read(82); });
    now = feed(stillness, now, 1min, 1000, [](double) { return 82.5; });
    ASSERT_TRUE(stuck_since(stillness));

    feed(stillness, now, 1min, 1, [](double) { return 82.51; });
    EXPECT_FALSE(stuck_since(stillness));
}

TEST(Stillness, IsNotSaidOfASensorThatNeverMoved) {
    Stillness stillness;
    feed(stillness, evening, 1h, 2000, [](double) { return 0.0; });
    EXPECT_FALSE(stuck_since(stillness)) << "a vented vessel";
}

// A sensor of 0.1 degC without noise, in a vessel that a thermostat holds within 0.05 degC for ten days.
TEST(Stillness, IsNotSaidOfACoarseSensorInAVesselHeldByAThermostat) {
    Stillness stillness;
    Instrument coarse{0.1, 0};
    const auto cooling = [&](double hours) { return coarse.read(12 + 8 * std::exp(-hours / 6)); };
    const auto held = [&](double hours) { return coarse.read(12.02 + 0.02 * std::sin(hours)); };
    Timestamp now = feed(stillness, evening, 15s, 4 * 60 * 48, cooling);
    for (int day = 0; day < 10; ++day) {
        now = feed(stillness, now, 15s, 4 * 60 * 24, held);
        EXPECT_FALSE(stuck_since(stillness)) << "day " << day;
    }
}

// A float that reads whole points without noise follows a beer that slows down and is done: true stillness,
// at the cadences that floats have.
TEST(Stillness, IsNotSaidOfAFloatInABeerThatIsDone) {
    for (const Duration cadence : {Duration{1min}, Duration{15min}, Duration{1h}}) {
        Stillness stillness;
        Instrument points{0.001, 0};
        const auto gravity = [&](double hours) {
            return points.read(1.010 + 0.038 / (1 + std::exp((hours - 48) / 12)));
        };
        Timestamp now = evening;
        for (int day = 0; day < 21; ++day) {
            now = feed(stillness, now, cadence, static_cast<int>(24h / cadence), gravity);
            EXPECT_FALSE(stuck_since(stillness)) << "day " << day << ", every " << cadence.count() << " ms";
        }
    }
}

// Three weeks of noise that nobody disturbs, in many seeds and at every coarseness: nobody is accused.
TEST(Stillness, IsNeverSaidOfNoiseAlone) {
    for (unsigned seed = 0; seed < 20; ++seed)
        for (const double step_in_sigmas : {0.1, 1.0, 2.0, 3.0, 5.0}) {
            Stillness stillness;
            Instrument noisy{step_in_sigmas, 1, std::mt19937{seed}};
            Timestamp now = evening;
            for (int i = 0; i < 21 * 96; ++i) {
                now = feed(stillness, now, 15min, 1, [&](double) { return noisy.read(0.3); });
                ASSERT_FALSE(stuck_since(stillness)) << "seed " << seed << ", step " << step_in_sigmas;
            }
        }
}

TEST(Stillness, IsJudgedByTheLatestReadingsWhateverComesLate) {
    Stillness stillness;
    Instrument gauge{0.01, 0.2};
    const Timestamp stops = feed(stillness, evening, 1min, 600, [&](double) { return gauge.read(82); });
    feed(stillness, stops, 1min, 1000, [](double) { return 82.5; });
    const Stillness before = stillness;

    note(stillness, {stops + 30s, 81.9});
    note(stillness, {stops + 1min, 82.5});

    EXPECT_EQ(stillness, before);
    EXPECT_EQ(stuck_since(stillness), stops);
}

TEST(Stillness, IsSaidOfTheSensorWhileItsReadingsStayAccepted) {
    Intake intake{{thermometer()}};
    Instrument lively{0.0625, 0.05};
    const auto say = [&](Timestamp at, double value) {
        return accepted_value(intake.accept(message(thermometer(), fmt::format("{}", value), at)));
    };
    for (int i = 0; i < 600; ++i) (void)say(evening + i * 1min, lively.read(19));
    const Timestamp stops = evening + 600min;

    for (int i = 0; i < 600; ++i) ASSERT_EQ(say(stops + i * 1min, 19.5), 19.5);

    EXPECT_EQ(intake.health()[0].stuck_since, stops);
    EXPECT_TRUE(intake.rejected().empty());
}

}  // namespace
