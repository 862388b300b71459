#include "tests/simulation/ferments/truth/sensors.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace gyled::ferment_worlds {
namespace {

using base::Quantity;

constexpr double point = 0.001;  // SG
constexpr double wander_over_h = 5;
constexpr double hydrometer_step = 0.0005, hydrometer_sigma = 0.0005;

double rounded(double value, double to) {
    return to > 0 ? std::round(value / to) * to : value;
}

/// A float as drawn, and its state.
class Float {
public:
    Float(const World& world, Random random) : world_{world}, random_{random} {
        noise_ = random_.between(0.6, 1.2);
        offset_ = 1.5 * random_.normal();
        drift_per_h_ = 0.8 * random_.normal() / 240;
        step_ = std::array{0.1, 0.5, 1.0}[static_cast<std::size_t>(3 * random_.fraction())];
        per_c_ = 0.1 * random_.normal();
        fouling_ = random_.happens(0.25) ? random_.between(0.5, 1.5) : 0;
        night_h_ = random_.between(24, 0.8 * world.hours());
        for (double hour = 1; hour < world.hours(); ++hour)
            quickest_ = std::max(quickest_, world.at(hour - 1).sg - world.at(hour).sg);
    }

    std::optional<double> read(double hour, double since_last_h) {
        const Quarter& truth = world_.at(hour);
        const double rate = world_.at(hour - 2).sg - world_.at(hour + 2).sg;
        const double works =
            std::min(1.0, rate / (quickest_ + 1e-9));  // four hours' fall: a quarter of the peak is full
        const double keeps = std::exp(-since_last_h / wander_over_h);
        wander_ =
            keeps * wander_ + std::sqrt(1 - keeps * keeps) * (0.2 + 0.8 * works) * 0.7 * random_.normal();
        foam_ += (fouling_ * works - foam_) * -std::expm1(-since_last_h / 8);
        double points = (truth.sg - 1) / point + offset_ + drift_per_h_ * hour + wander_ + foam_ +
                        per_c_ * (truth.beer_c - world_.quarters.front().beer_c) + noise_ * random_.normal();
        const double wild = 20 * random_.between(-1, 1);
        if (random_.happens(0.01)) points += wild;
        if (hour > night_h_ && hour < night_h_ + 9) return std::nullopt;
        return 1 + point * rounded(points, step_);
    }

private:
    const World& world_;
    Random random_;
    double noise_, offset_, drift_per_h_, step_, per_c_, fouling_, night_h_;
    double quickest_ = 0, wander_ = 0, foam_ = 0;
};

}  // namespace

void read(World& world, const Instruments& instruments, Random random) {
    Random bench{random.next()}, eye{random.next()};
    const double probe_offset = 0.15 * bench.normal();
    const double warm_every_h = std::max(0.25, instruments.float_every_h.value_or(1));
    for (double hour = warm_every_h; hour <= world.hours(); hour += warm_every_h)
        world.readings.push_back(
            {world.time_of(hour), Quantity::beer_temperature,
             rounded(world.at(hour).beer_c + probe_offset + 0.04 * bench.normal(), 0.0625)});
    if (const auto every_h = instruments.float_every_h) {
        Float floating{world, Random{random.next()}};
        for (double hour = *every_h; hour <= world.hours(); hour += *every_h)
            if (const auto sg = floating.read(hour, *every_h))
                world.readings.push_back({world.time_of(hour), Quantity::gravity, *sg});
    }
    if (const auto every_h = instruments.hydrometer_every_h)
        for (double hour = *every_h * eye.between(0.3, 1); hour <= world.hours();
             hour += *every_h + eye.between(-2.5, 2.5))
            world.readings.push_back(
                {world.time_of(hour), Quantity::gravity,
                 rounded(world.at(hour).sg + hydrometer_sigma * eye.normal(), hydrometer_step), true});
    if (instruments.forced_at_h)
        world.readings.push_back(
            {world.time_of(*instruments.forced_at_h), Quantity::forced_final_gravity,
             rounded(world.terminal_sg - point * eye.between(0, 1) + hydrometer_sigma * eye.normal(),
                     hydrometer_step),
             true});
    std::ranges::stable_sort(world.readings, {}, &Reading::at);
}

}  // namespace gyled::ferment_worlds
