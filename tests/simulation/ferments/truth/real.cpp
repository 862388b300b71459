#include "tests/simulation/ferments/truth/real.hpp"

#include <gsl/gsl_interp.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <memory>
#include <span>
#include <sstream>
#include <stdexcept>

#include "tests/simulation/ferments/truth/sensors.hpp"

namespace gyled::ferment_worlds {
namespace {

using base::StageKind;

constexpr std::array for_tuning{1, 7, 13, 19};
constexpr std::array for_test{4, 10, 16};
constexpr double stands_on_h = 96;          // after the record
constexpr double end_is_known_after_h = 8;  // of standing
constexpr double chilled_below_c = 15;
constexpr Timestamp first_day{base::Duration{1'772'388'000'000}};  // 2026-03-01T18:00:00Z

/// Apparent extract as a hydrometer has it, within 1.5e-5 to 20 degrees Plato; widely printed.
double sg_of(double plato) {
    return 1 + plato / (258.6 - 227.1 * plato / 258.2);
}

struct Samples {
    std::vector<double> hours, sg, celsius;
};

Samples read_samples(int ferment) {
    const std::string path = std::string{GYLED_SOURCE_DIR} + "/tests/simulation/ferments/real/ferments.csv";
    std::ifstream in{path};
    Samples samples;
    std::string line;
    std::getline(in, line);  // the head
    while (std::getline(in, line)) {
        std::ranges::replace(line, ',', ' ');
        std::istringstream cells{line};
        int number = 0;
        double hours = 0, plato = 0, celsius = 0;
        if (!(cells >> number >> hours >> plato >> celsius)) throw std::runtime_error{path + ": " + line};
        if (number != ferment) continue;
        samples.hours.push_back(hours);
        samples.sg.push_back(samples.sg.empty() ? sg_of(plato) : std::min(samples.sg.back(), sg_of(plato)));
        samples.celsius.push_back(celsius);
    }
    if (samples.hours.size() < 3) throw std::runtime_error{path + ": no ferment " + std::to_string(ferment)};
    return samples;
}

/// Between the samples: monotone where they are.
class Between {
public:
    Between(const gsl_interp_type* type, const std::vector<double>& x, const std::vector<double>& y)
        : x_{x}, y_{y}, curve_{gsl_interp_alloc(type, x.size()), gsl_interp_free} {
        gsl_interp_init(curve_.get(), x.data(), y.data(), x.size());
    }
    [[nodiscard]] double at(double x) const {
        return gsl_interp_eval(curve_.get(), x_.data(), y_.data(), std::min(x, x_.back()), nullptr);
    }

private:
    const std::vector<double>&x_, &y_;
    std::unique_ptr<gsl_interp, decltype(&gsl_interp_free)> curve_;
};

void lay_out(World& world, const Samples& samples, double until_h) {
    const Between sg{gsl_interp_steffen, samples.hours, samples.sg};
    const Between celsius{gsl_interp_linear, samples.hours, samples.celsius};
    world.stages.push_back({world.begin, StageKind::ferment, samples.celsius.front()});
    for (double hour = 0.25; hour <= until_h; hour += 0.25) {
        const double now_c = celsius.at(hour);
        if (!world.chilled_h && now_c < chilled_below_c) {
            world.chilled_h = hour;
            world.stages.push_back({world.time_of(hour), StageKind::crash, samples.celsius.back()});
        }
        world.quarters.push_back({sg.at(hour), now_c, world.stages.back().kind});
    }
}

/// Has it stood at its last sample for long enough?
bool is_at_its_end(const Samples& samples) {
    for (std::size_t i = samples.hours.size(); i-- > 0;)
        if (samples.sg[i] > samples.sg.back() + end_sg)
            return samples.hours.back() - samples.hours[i + 1] >= end_is_known_after_h;
    return false;
}

World made(std::string_view family, std::span<const int> ferments, std::uint64_t seed) {
    const int ferment = ferments[(seed - 1) % ferments.size()];
    const Samples samples = read_samples(ferment);
    World world;
    world.family = family;
    world.plan = "as it was";
    world.number = 100 * static_cast<std::uint64_t>(ferment) + (seed - 1) / ferments.size();
    world.begin = first_day;
    world.original_sg = samples.sg.front();
    world.terminal_sg = samples.sg.back();
    world.has_an_end = is_at_its_end(samples);
    lay_out(world, samples, samples.hours.back() + (world.has_an_end ? stands_on_h : 0));
    Random random{world.number, 77'000};
    world.told_original_sg = world.original_sg;
    if (random.happens(0.5))
        world.told_final_sg = std::round(1000 * world.terminal_sg + 2.2 * random.normal()) / 1000;
    read(world, {0.25, seed % 2 == 0 ? std::optional{60.0} : std::nullopt}, random);
    return world;
}

}  // namespace

World real_for_tuning(std::uint64_t seed) {
    return made("real, tuning half", for_tuning, seed);
}
World real_for_test(std::uint64_t seed) {
    return made("real, test half", for_test, seed);
}

}  // namespace gyled::ferment_worlds
