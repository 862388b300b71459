#include "tests/simulation/ferments/truth/kinetics.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::ferment_worlds {
namespace {

constexpr double gas_constant = 8.314462618e-3;  // kJ/(mol K)
constexpr double kcal = 4.184;                   // kJ
constexpr double zero_c = 273.15;                // K

bool is_lager(const Pitch& pitch) {
    return pitch.culture == base::Culture::lager;
}

/// exp(lnA - E / RT).
double arrhenius(double ln_a, double kj_per_mol, double celsius) {
    return std::exp(ln_a - kj_per_mol / (gas_constant * (celsius + zero_c)));
}

double saturation(double food, double half) {
    return food <= 0 ? 0 : food / (half + food);
}

/// S. cerevisiae stops growing between 1 and 7 degC (cardinal temperatures of Salvado et al., Appl. Environ.
/// Microbiol. 77 (2011) 2292, from memory); lager yeast below 1 or 2.
double draw_asleep_below(const Pitch& pitch, Random& random) {
    return is_lager(pitch) ? random.between(-1, 2) : random.between(2, 7);
}

/// Time in which the curves of a laboratory run: Arrhenius about the reference, between what Gee and Ramirez
/// give for the uptake of maltose (47.3 kJ/mol) and de Andres-Toro for yeast waking (9501.54 K, 79.0 kJ/mol).
Kinetics in_thermal_time(const Pitch& pitch, Random& random, const std::function<double(double)>& left) {
    const double kj_per_mol = random.between(47.3, 79.0);
    const double reference_c = pitch.reference_c;
    Kinetics made;
    made.slope = [=](const State&, double celsius) {
        return State{arrhenius(0, kj_per_mol, celsius) / arrhenius(0, kj_per_mol, reference_c)};
    };
    made.eaten = [left, first = left(0)](const State& s) { return 1 - left(s[0]) / first; };
    made.asleep_below_c = draw_asleep_below(pitch, random);
    return made;
}

/// Hours in which a curve goes from 5 to 95 %, at the reference. Common practice: ale 3 to 7 days, lager 7 to
/// 14 with the lag; strong worts take longer.
double draw_days_h(const Pitch& pitch, Random& random) {
    const double days = is_lager(pitch) ? random.triangular(4.5, 6.5, 11) : random.triangular(2.2, 3.2, 6);
    return 24 * days * std::pow(pitch.original_points / 50, 0.35);
}
/// Hours to 5 %, pitched in the usual way.
double draw_lag_h(const Pitch& pitch, Random& random) {
    return (is_lager(pitch) ? 1.6 : 1.0) * random.triangular(6, 12, 30);
}

/// x at which a share is done of 1 - (1 + e^x)^-s.
double logistic_place(double share, double s) {
    return std::log(std::pow(1 - share, -1 / s) - 1);
}

Kinetics logistic_curve(const Pitch& pitch, Random& random, double s, double lag_h) {
    const double begins = logistic_place(0.05, s), ends = logistic_place(0.95, s);
    const double b = (ends - begins) / draw_days_h(pitch, random);
    const double m = lag_h - begins / b;
    return in_thermal_time(pitch, random, [=](double t) { return std::pow(1 + std::exp(b * (t - m)), -s); });
}

}  // namespace

void Kinetics::step(double hours, double celsius, double activity) {
    constexpr double half_way_c = 4;
    const double up = std::clamp((celsius - asleep_below_c) / half_way_c, 0.0, 1.0);
    const double works = hours * pace * activity * up * up * (3 - 2 * up);
    const State first = slope(state, celsius);
    State middle = state;
    for (std::size_t i = 0; i < state.size(); ++i)
        middle[i] = std::max(0.0, middle[i] + 0.5 * works * first[i]);
    const State along = slope(middle, celsius);
    for (std::size_t i = 0; i < state.size(); ++i) state[i] = std::max(0.0, state[i] + works * along[i]);
}

Kinetics logistic(const Pitch& pitch, Random& random) {
    return logistic_curve(pitch, random, 1, draw_lag_h(pitch, random));
}

Kinetics five_parameter(const Pitch& pitch, Random& random) {
    const double s = std::exp(random.between(std::log(0.4), std::log(2.5)));
    return logistic_curve(pitch, random, s, draw_lag_h(pitch, random));
}

Kinetics at_once(const Pitch& pitch, Random& random) {
    const double b = random.between(3, 4.4) / draw_days_h(pitch, random);
    const double m = random.between(-1.5, 0.6) / b;
    return in_thermal_time(pitch, random, [=](double t) { return 1 / (1 + std::exp(b * (t - m))); });
}

Kinetics gompertz(const Pitch& pitch, Random& random) {
    // From 5 to 95 % takes 4.067 A / (mu e).
    const double pace = 4.067 / draw_days_h(pitch, random);
    const double shift = 1.097 + pace * draw_lag_h(pitch, random);  // 5 % where exp(1.097) stands
    return in_thermal_time(pitch, random,
                           [=](double t) { return 1 - std::exp(-std::exp(shift - pace * t)); });
}

Kinetics activated_biomass(const Pitch& pitch, Random& random) {
    enum { sugar, latent, active, dead, ethanol };
    const double start = 130.0 * pitch.original_points / 50.5;
    const double pitched = random.between(0.5, 1.1) * std::pow(start / 130.0, 0.6);
    Kinetics made;
    made.state = {start, 1.92 * pitched, 0.08 * pitched, 2.0 * pitched, 0};
    made.slope = [=](const State& s, double celsius) {
        const double t = celsius + zero_c;
        const auto rate = [t](double a, double b) { return std::exp(a + b / t); };
        const double eats = rate(-41.92, 11654.64) * saturation(s[sugar], rate(-119.63, 34203.95));
        const double makes = rate(3.27, -1267.24) * saturation(s[sugar], rate(-119.63, 34203.95)) *
                             (1 - s[ethanol] / (0.5 * start));
        const double wakes = rate(30.72, -9501.54) * s[latent];
        const double grows = rate(108.31, -31934.09) * s[sugar] / (0.5 * start + s[ethanol]) * s[active];
        const double dies = rate(130.16, -38313.0) * s[active];
        const double settles = rate(33.82, -10033.28) * 0.5 * start / (0.5 * start + s[ethanol]) * s[dead];
        return State{-eats * s[active], -wakes, grows - dies + wakes, dies - settles, makes * s[active]};
    };
    made.eaten = [=](const State& s) { return 1 - s[sugar] / start; };
    made.asleep_below_c = draw_asleep_below(pitch, random);
    return made;
}

Kinetics three_sugars(const Pitch& pitch, Random& random) {
    enum { glucose, maltose, triose, yeast };
    const double strength = pitch.original_points / 44.0;
    const double more_triose = random.between(0.6, 1.3);
    const double g = 70 * strength, m = 220 * strength, n = 40 * strength * more_triose;
    const double hexoses = g + 2 * m + 3 * n;
    const double pitched =
        (is_lager(pitch) ? 2.2 : 1.3) * random.between(0.8, 1.4) * 125 * std::sqrt(strength);
    Kinetics made;
    made.state = {g, m, n, pitched};
    made.slope = [=](const State& s, double celsius) {
        const auto of = [celsius](double ln_a, double kcal_per_mol) {
            return arrhenius(ln_a, kcal_per_mol * kcal, celsius);
        };
        const double held_by_glucose = of(23.33, 10.2) / (of(23.33, 10.2) + s[glucose]);
        const double held_by_maltose = of(55.61, 26.3) / (of(55.61, 26.3) + s[maltose]);
        const double first = of(35.77, 22.6) * saturation(s[glucose], of(-121.3, -68.6));
        const double second = of(16.40, 11.3) * saturation(s[maltose], of(-19.15, -14.4)) * held_by_glucose;
        const double third =
            of(10.59, 7.16) * saturation(s[triose], of(-26.78, -19.9)) * held_by_glucose * held_by_maltose;
        const double crowded = 3.65e5 / (3.65e5 + (s[yeast] - pitched) * (s[yeast] - pitched));
        const double grows = (0.134 * first + 0.268 * second + 0.402 * third) * crowded;
        return State{-first * s[yeast], -second * s[yeast], -third * s[yeast], grows * s[yeast]};
    };
    made.eaten = [=](const State& s) { return 1 - (s[glucose] + 2 * s[maltose] + 3 * s[triose]) / hexoses; };
    made.asleep_below_c = draw_asleep_below(pitch, random);
    return made;
}

Kinetics nitrogen_limited(const Pitch& pitch, Random& random) {
    enum { active, nitrogen, ethanol, sugar };
    const double start = 1.85 * pitch.original_points;  // g/L that ferment
    const double uptake =
        random.between(0.17, 0.28);  // g/(g h) at 20 degC, so that the trade's days come out
    const double half = random.between(0.7, 2.5);
    Kinetics made;
    made.state = {random.between(0.25, 0.6), random.between(0.06, 0.12), 0, start};
    made.slope = [=](const State& s, double celsius) {
        const double grows =
            std::exp(-3.92 + 0.0782 * celsius) * saturation(s[nitrogen], std::exp(-4.73)) * s[active];
        const double dies =
            std::exp(-9.81 - 0.108 * celsius + 0.00478 * celsius * celsius) * s[ethanol] * s[active];
        const double makes =
            uptake * std::exp(0.0771 * (celsius - 20)) * saturation(s[sugar], half) * s[active];
        return State{grows - dies, -grows / std::exp(3.50), makes, -makes / std::exp(-0.598)};
    };
    made.eaten = [=](const State& s) { return 1 - s[sugar] / start; };
    made.asleep_below_c = draw_asleep_below(pitch, random);
    return made;
}

}  // namespace gyled::ferment_worlds
