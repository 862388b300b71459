#include <cmath>

#include "tests/simulation/ferments/judge/peers.hpp"

namespace gyled::ferment_worlds {
namespace {

using namespace std::chrono_literals;

base::Estimate point(double value) {
    return {value, value, value};
}

bool is_gravity(const Reading& reading) {
    return reading.quantity == base::Quantity::gravity;
}

/// The brewer's expectation; else three quarters of the original, as the trade reckons.
double expected_end(const World& world) {
    return world.told_final_sg.value_or(1 + 0.25 * (world.told_original_sg - 1));
}

}  // namespace

Forecast last_reading(const World& world, Timestamp at) {
    Forecast forecast;
    for (const Reading& reading : world.readings)
        if (reading.at <= at && is_gravity(reading)) forecast.now = forecast.final = point(reading.value);
    return forecast;
}

Forecast two_day_line(const World& world, Timestamp at) {
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (const Reading& reading : world.readings) {
        if (reading.at > at || at - reading.at > 48h || !is_gravity(reading)) continue;
        const double x = base::hours_between(at, reading.at);
        n += 1, sx += x, sy += reading.value, sxx += x * x, sxy += x * reading.value;
    }
    const double spread = sxx - sx * sx / n;
    if (n < 2 || !(spread > 0)) return {};
    const double slope = (sxy - sx * sy / n) / spread;
    const double now = (sy - slope * sx) / n;
    Forecast forecast;
    forecast.now = point(now);
    if (slope < 0)
        forecast.finish = point(base::unix_seconds(at) +
                                3600 * std::max(0.0, (expected_end(world) + end_sg - now) / slope));
    return forecast;
}

}  // namespace gyled::ferment_worlds
