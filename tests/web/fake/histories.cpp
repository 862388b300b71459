#include <algorithm>
#include <cmath>
#include <numbers>

#include "tests/web/fake/harbour_cellar.hpp"

namespace gyled::web {
namespace {

using base::Estimate;
using base::Quantity;

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

/// 0 before `from`, 1 after `to`, smooth between.
double ramp(double x, double from, double to) {
    if (x <= from) return 0;
    if (x >= to) return 1;
    return 0.5 - 0.5 * std::cos(std::numbers::pi * (x - from) / (to - from));
}

/// The same scatter each time one looks: -1 to 1, from the moment's own bits.
double scatter(Timestamp t) {
    auto x = static_cast<std::uint64_t>(t.time_since_epoch().count());
    x ^= x >> 33;
    x *= 0xff51afd7ed558ccdULL;
    x ^= x >> 33;
    x *= 0xc4ceb9fe1a85ec53ULL;
    x ^= x >> 33;
    return static_cast<double>(x % 2001) / 1000.0 - 1.0;
}

double days(Timestamp from, Timestamp to) {
    return base::hours_between(from, to) / 24;
}

Estimate about(double value, double doubt) {
    return {value, value - doubt, value + doubt};
}

}  // namespace

namespace harbour_mild {
namespace {

constexpr double original = 1.0412, final = 1.0108;

double gravity(double d) {
    return final + (original - final) / (1 + std::exp((d - 1.9) * 2.3));
}

double temperature(double d) {
    const double steady = 18.4 + 1.2 * ramp(d, 0.5, 2) + 1.0 * ramp(d, 3.5, 4.2);
    const double cold = 2.5;
    const double crashed = steady + (cold - steady) * ramp(d, 6.0, 7.5);
    return crashed + 0.18 * std::sin(d * 2 * std::numbers::pi * 3) + 0.1 * std::sin(d * 11);
}

/// kPa gauge: vented, then spunded at 75, then cold and supplied.
double pressure(double d) {
    if (d < 2.4) return 0.6;
    const double spunded = 75 * ramp(d, 2.4, 3.6);
    const double cold = -38 * ramp(d, 6.0, 7.6);
    const double supplied = 47 * ramp(d, 8.0, 8.2);
    return spunded + cold + supplied + 0.8 * std::sin(d * 9);
}

double co2(double d) {
    return 0.35 + 0.5 * ramp(d, 0.3, 2.2) + 0.62 * ramp(d, 2.4, 5.0) + 0.58 * ramp(d, 7.6, 13.5);
}

double co2_at_equilibrium(double d) {
    return 0.84 + 0.68 * ramp(d, 2.4, 3.6) + 0.62 * ramp(d, 6.0, 8.2);
}

}  // namespace

double measured(Quantity q, Timestamp t) {
    const double d = days(start, t);
    if (d < 0 || t > end) return nothing;
    const double noise = scatter(t);
    const bool is_silent = d > 4.6 && d < 5.0;  // somebody forgot the battery
    switch (q) {
        case Quantity::gravity:
            return is_silent ? nothing : gravity(d) + 0.0006 * noise;
        case Quantity::beer_temperature:
            return temperature(d) + 0.06 * noise;
        case Quantity::head_pressure:
            return pressure(d) + 0.4 * noise;
        case Quantity::room_temperature:
            return 14.5 + 1.5 * std::sin(d * 2 * std::numbers::pi);
        default:
            return nothing;
    }
}

std::optional<Estimate> estimated(Quantity q, Timestamp t) {
    const double d = days(start, t);
    if (d < 0 || t > end) return std::nullopt;
    const auto about = [](double value, double doubt) {
        return Estimate{value, value - doubt, value + doubt};
    };
    switch (q) {
        case Quantity::gravity_now:
            return about(gravity(d), 0.0004 + 0.0008 * std::exp(-d));
        case Quantity::co2_volumes:
            return about(co2(d), 0.08 + 0.05 * ramp(d, 2, 5));
        case Quantity::co2_equilibrium_volumes:
            return about(co2_at_equilibrium(d), 0.1);
        case Quantity::warm_pressure:
            return about(pressure(d) + 55 * ramp(d, 6, 7.5), 12);
        default:
            return std::nullopt;
    }
}

}  // namespace harbour_mild

namespace breakwater_porter {
namespace {

double gravity(double d) {
    return 1.0142 + 0.0378 / (1 + std::exp((d - 2.25) * 2.2));
}

double pressure(double d) {
    const double shut_for = std::max(0.0, d - 1.3);
    return 0.5 + 50.2 * shut_for * shut_for;
}

double co2(double d) {
    return 0.35 + 0.45 * ramp(d, 0.4, 1.6) + 0.9 * ramp(d, 1.3, 3.1);
}

}  // namespace

double measured(Quantity q, Timestamp t) {
    const double d = days(start, t);
    if (d < 0 || t > harbour_mild::end) return nothing;
    const double noise = scatter(t);
    switch (q) {
        case Quantity::gravity:
            return t > last_gravity ? nothing : gravity(d) + 0.0007 * noise;
        case Quantity::beer_temperature:
            return 18.6 + 1.5 * ramp(d, 0.3, 2.4) + 0.15 * std::sin(d * 19) + 0.05 * noise;
        case Quantity::head_pressure:
            return pressure(d) + 0.4 * noise;
        default:
            return nothing;
    }
}

std::optional<Estimate> estimated(Quantity q, Timestamp t) {
    const double d = days(start, t);
    if (d < 0 || t > harbour_mild::end) return std::nullopt;
    switch (q) {
        case Quantity::gravity_now:
            return about(gravity(d), 0.0006 + 0.0012 * ramp(d, 2.69, 3.0));
        case Quantity::co2_volumes:
            return about(co2(d), 0.13);
        case Quantity::warm_pressure:
            return about(pressure(d) * 1.25, 8);
        default:
            return std::nullopt;
    }
}

}  // namespace breakwater_porter

}  // namespace gyled::web
