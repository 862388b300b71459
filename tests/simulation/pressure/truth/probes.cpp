#include "tests/simulation/pressure/truth/probes.hpp"

#include <array>
#include <cmath>

namespace gyled::pressure_worlds {
namespace {

using virtual_vessel::Random;

constexpr double wander_over_h = 5.0;

template <std::size_t n>
double one_of(const std::array<double, n>& values, Random& random) {
    return values[static_cast<std::size_t>(random.fraction() * n)];
}

}  // namespace

Probe draw_thermometer(Random& random) {
    return {.quantity = Quantity::beer_temperature,
            .noise = random.between(0.01, 0.06),
            .offset = 0.15 * random.normal(),
            .step = one_of(std::array{0.0, 0.0625, 0.1}, random)};
}

Probe draw_transducer(Random& random) {
    return {.quantity = Quantity::head_pressure,
            .noise = random.between(0.1, 0.4),
            .offset = 0.5 * random.normal(),
            .gain = 1 + 0.003 * random.normal(),
            .drift_per_day = 0.02 * random.normal(),
            .step = one_of(std::array{0.05, 0.1, 0.5}, random)};
}

Probe draw_float(Random& random) {
    return {.quantity = Quantity::gravity,
            .cadence_s = 900,
            .noise = random.between(0.0006, 0.0012),
            .offset = 0.0015 * random.normal(),
            .drift_per_day = 0.00008 * random.normal(),
            .step = one_of(std::array{0.0001, 0.0005, 0.001}, random),
            .wander = 0.0007,
            .outlier_share = 0.01,
            .outlier_size = 0.02};
}

Probe draw_barometer(Random& random) {
    return {.quantity = Quantity::barometric_pressure,
            .cadence_s = 900,
            .noise = 0.02,
            .offset = 0.1 * random.normal(),
            .step = 0.01};
}

std::optional<Reading> Instrument::read(Timestamp now, double truth) {
    if (now < due_) return std::nullopt;
    const double hours = probe_.cadence_s / 3600.0;
    due_ += base::hours(hours);
    const double keeps = std::exp(-hours / wander_over_h);
    wander_ = keeps * wander_ + std::sqrt(1 - keeps * keeps) * probe_.wander * random_.normal();
    const double days = base::hours_between(begin_, now) / 24.0;
    double value = probe_.gain * truth + probe_.offset + probe_.drift_per_day * days + wander_ +
                   probe_.noise * random_.normal();
    const double wild = probe_.outlier_size * random_.between(-1, 1);
    if (random_.happens(probe_.outlier_share)) value += wild;
    if (probe_.step > 0) value = std::round(value / probe_.step) * probe_.step;
    return Reading{now, probe_.quantity, value};
}

}  // namespace gyled::pressure_worlds
