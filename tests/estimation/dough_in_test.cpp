#include "daemon/estimation/trend/dough_in.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace gyled::estimation::trend {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Timestamp;

constexpr Timestamp begin{Duration{1'772'388'000'000}};

/// Liquor at 73.3 degC and grain at 20 degC, 3 L/kg, give a mash of 67 degC: the textbooks' strike example.
/// The grain goes in evenly over `pour`; the probe follows within `lag`.
struct Mash {
    Duration pour = 4min, lag = 45s, every = 1min;
    double noise_c = 0.05;
    static constexpr double liquor_c = 73.3, mash_c = 67.0;
    static constexpr Duration grain_at = 20min;

    [[nodiscard]] std::optional<Duration> told_after(unsigned seed) const {
        std::mt19937 random{seed};
        std::normal_distribution<double> noise{0, noise_c};
        DoughInWatch watch;
        const Duration phase = std::uniform_int_distribution<long long>{0, every / 1s - 1}(random)*1s;
        double probe = liquor_c;
        for (Duration t{}; t < 60min; t += 1s) {
            const double part = std::clamp(
                static_cast<double>((t - grain_at) / 1s) / static_cast<double>(pour / 1s), 0.0, 1.0);
            probe += (liquor_c + part * (mash_c - liquor_c) - probe) / static_cast<double>(lag / 1s);
            if ((t - phase) % every != Duration{}) continue;
            watch.add(begin + t, std::round((probe + noise(random)) / 0.0625) * 0.0625);
            if (watch.seen()) return t - grain_at;
        }
        return std::nullopt;
    }
};

TEST(DoughIn, IsSeenWithinThreeMinutesOfTheLastGrain) {
    for (const Duration pour : {Duration{30s}, Duration{2min}, Duration{4min}, Duration{6min}})
        for (const Duration every : {Duration{5s}, Duration{30s}, Duration{1min}})
            for (unsigned seed = 0; seed < 50; ++seed) {
                const auto told = Mash{.pour = pour, .every = every}.told_after(seed);
                ASSERT_TRUE(told) << "seed " << seed;
                EXPECT_GT(*told, Duration{}) << "before any grain";
                EXPECT_LE(*told, std::max<Duration>(pour, 3min))
                    << pour.count() << " ms, each " << every.count();
            }
}

TEST(DoughIn, IsNotSeenInLiquorThatCoolsOrIsStirred) {
    std::mt19937 random{7};
    std::normal_distribution<double> noise{0, 0.3};  // layers
    DoughInWatch watch;
    for (int minute = 0; minute < 600; ++minute) {
        // 12 degC an hour: an open kettle, the heater off
        watch.add(begin + minute * 1min, 75 - 0.2 * (minute % 100) + noise(random));
        if (minute % 100 > 8) {
            EXPECT_FALSE(watch.seen()) << minute;
        }
    }
}

TEST(DoughIn, IsNotSeenInOneWildReadingNorInAProbeLiftedOut) {
    DoughInWatch watch;
    for (int second = 0; second < 600; second += 10)
        watch.add(begin + second * 1s, second == 300 ? 66 : 73.3);
    EXPECT_FALSE(watch.seen());
    for (int second = 600; second < 700; second += 10) watch.add(begin + second * 1s, 22);
    EXPECT_FALSE(watch.seen()) << "in the air";
    watch.add(begin + 710s, std::nan(""));
    watch.add(begin + 100s, 66);  // older
    EXPECT_FALSE(watch.seen());
    EXPECT_FALSE(DoughInWatch{}.seen());
}

}  // namespace
}  // namespace gyled::estimation::trend
