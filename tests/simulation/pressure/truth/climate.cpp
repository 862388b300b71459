#include "tests/simulation/pressure/truth/climate.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace gyled::pressure_worlds {
namespace {

constexpr double full_circle = 2 * std::numbers::pi;
constexpr double felt_in_one_of = 0.25;

}  // namespace

ClimateDraws draw_climate(virtual_vessel::Random& random) {
    ClimateDraws draws;
    draws.cycle_c = random.between(0.05, 0.35);
    draws.cycle_h = random.between(0.5, 3.0);
    draws.room_day_c = random.happens(felt_in_one_of) ? random.between(0.5, 1.2) : random.between(0.0, 0.3);
    draws.room_phase_h = random.between(0, 24);
    draws.weather_kpa = random.between(0.2, 1.5);
    draws.weather_h = random.between(60, 140);
    draws.weather_phase = random.between(0, full_circle);
    return draws;
}

void Climate::step(double hours, double set_c, double ramp_c_per_h) {
    elapsed_h_ += hours;
    const double way = set_c - walked_c_;
    walked_c_ += std::clamp(way, -ramp_c_per_h * hours, ramp_c_per_h * hours);
}

double Climate::beer_c() const {
    const double in_cycle = elapsed_h_ / draws_.cycle_h - std::floor(elapsed_h_ / draws_.cycle_h);
    const double saw = std::abs(4 * in_cycle - 2) - 1;
    const double day = std::sin(full_circle * (elapsed_h_ - draws_.room_phase_h) / 24);
    return walked_c_ + draws_.cycle_c * saw + draws_.room_day_c * day;
}

double Climate::weather_kpa() const {
    return draws_.weather_kpa * std::sin(full_circle * elapsed_h_ / draws_.weather_h + draws_.weather_phase);
}

}  // namespace gyled::pressure_worlds
