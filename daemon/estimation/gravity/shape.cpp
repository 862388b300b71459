#include "daemon/estimation/gravity/shape.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::estimation::gravity {
namespace {

/// Nodes evenly spaced in the logit of c, from 0.4 % fermented to 0.02 % left: dense at both ends. Two of
/// them lie where the first 5 % and the first 75 % are gone.
constexpr std::size_t at_onset = 13;
constexpr std::size_t at_duration = 33;
constexpr double onset_logit = -2.9444389791664403;    // of 5 %
constexpr double duration_logit = 1.0986122886681098;  // of 75 %
constexpr double logit_step = (duration_logit - onset_logit) / (at_duration - at_onset);
/// Of an interval of some 1e5 h: down to a third of a second.
constexpr int halvings = 30;
/// Where the slow pool keeps its pace (see the header).
constexpr double left_after_duration = 0.25;

struct Node {
    double gone;
    double left;
};
template <std::size_t n>
std::array<Node, n> spread() {
    std::array<Node, n> table{};
    table[0] = {0.0, 1.0};
    for (std::size_t i = 1; i < n; ++i) {
        const double z = onset_logit + logit_step * (static_cast<double>(i) - at_onset);
        const double left = 1.0 / (1.0 + std::exp(z));
        table[i] = {1.0 - left, left};
    }
    return table;
}

/// 1 / (-du/dtau), with B = 1.
double slowness(const ShapeParameters& p, const Node& node) {
    const double c = node.gone;
    const double u = node.left;
    if (p.form == Form::growing_yeast) {
        const double g = p.saturation;
        const double k = p.hunger;
        return (c + g) * (1.0 + p.fatigue * c) * (u + k) /
               ((p.start * (c + g) + c * (1.0 + g)) * u * (1.0 + k));
    }
    constexpr double at_once = 1.0 - 1e-9;  // at 1 these two forms stand still
    const double e = c + p.start * u;
    // Near the end e is 1 to the last digit.
    const double log_e = std::log1p(-u * (1.0 - std::min(p.start, at_once)));
    if (p.form == Form::gompertz) return -1.0 / (e * log_e);
    return -1.0 / (e * std::expm1(log_e / p.asymmetry));
}

/// At the beginning the activity rises in proportion to what is gone: the mean of its inverse is a logarithm.
double first_unit_h(const ShapeParameters& p, const Node& node) {
    const double first = slowness(p, {0.0, 1.0});
    const double second = slowness(p, node);
    constexpr double hardly_rises = 1.001;
    if (first < hardly_rises * second) return second * node.gone;
    return node.gone * std::log(first / second) / (1.0 / second - 1.0 / first);
}

}  // namespace

GravityShape::GravityShape(const ShapeParameters& p) {
    static const auto table = spread<nodes>();
    const double k = p.hunger;
    const double slow = p.slow * (1.0 + k) / (k + left_after_duration);
    std::array<double, nodes> unit_h{0.0, first_unit_h(p, table[1])};
    double last = slowness(p, table[1]);
    for (std::size_t i = 2; i < nodes; ++i) {
        const double before = last * table[i - 1].gone * table[i - 1].left;
        last = slowness(p, table[i]);
        unit_h[i] = unit_h[i - 1] + logit_step / 2 * (before + last * table[i].gone * table[i].left);
    }
    // The same yeast: d ln u2 = -r2 dc / hunger(u).
    const auto eaten_per_logit = [&](const Node& node) {
        return node.gone * (node.left + k) / ((1.0 + k) * (1.0 + node.left / p.repression));
    };
    double eaten = table[1].gone / (1.0 + 1.0 / p.repression);
    fermented_[0] = {};
    fermented_[1] = {table[1].gone, 1.0 - std::exp(-slow * eaten)};
    for (std::size_t i = 2; i < nodes; ++i) {
        eaten += logit_step / 2 * (eaten_per_logit(table[i - 1]) + eaten_per_logit(table[i]));
        fermented_[i] = {table[i].gone, 1.0 - std::exp(-slow * eaten)};
    }
    const double per_unit = p.duration_h / (unit_h[at_duration] - unit_h[at_onset]);  // 1 / B
    const double natural_h = per_unit * unit_h[at_onset];
    const double lag_h = std::max(0.0, p.onset_h - natural_h);
    const double hurry = std::min(1.0, p.onset_h / natural_h);
    for (std::size_t i = 0; i < nodes; ++i)
        thermal_h_[i] = lag_h + (i <= at_onset ? hurry * per_unit * unit_h[i]
                                               : (hurry - 1.0) * natural_h + per_unit * unit_h[i]);
    main_per_h_ = 1.0 / (per_unit * last * table[nodes - 1].left);
    slow_per_h_ = slow * (1.0 + p.start) / (1.0 + p.fatigue) / per_unit;
    if (!p.has_second_organism) return;
    slow_per_h_ = p.second_per_h;
    second_odds_ = p.second_odds;
    lag_h_ = lag_h;
    for (std::size_t i = 0; i < nodes; ++i) fermented_[i].slow = by_second_organism(thermal_h_[i]);
}

double GravityShape::by_second_organism(double thermal_h) const {
    const double e = std::exp(-slow_per_h_ * std::max(0.0, thermal_h - lag_h_));
    return (1.0 - e) / (1.0 + second_odds_ * e);
}

Fermented GravityShape::beyond(double thermal_h) const {
    const double more = thermal_h - thermal_h_[nodes - 1];
    const Fermented& last = fermented_[nodes - 1];
    const double main = 1.0 - (1.0 - last.main) * std::exp(-main_per_h_ * more);
    if (second_odds_ >= 0.0) return {main, by_second_organism(thermal_h)};
    return {main, 1.0 - (1.0 - last.slow) * std::exp(-slow_per_h_ * more)};
}

Fermented GravityShape::at(double thermal_h, std::size_t& hint) const {
    if (thermal_h <= thermal_h_[0]) return {};
    if (thermal_h >= thermal_h_[nodes - 1]) return beyond(thermal_h);
    if (hint == 0) {
        const auto after = std::ranges::lower_bound(thermal_h_, thermal_h);
        hint = static_cast<std::size_t>(after - thermal_h_.begin()) - 1;
    }
    while (thermal_h_[hint + 1] < thermal_h) ++hint;
    const double span = thermal_h_[hint + 1] - thermal_h_[hint];
    const double share = (thermal_h - thermal_h_[hint]) / span;
    const Fermented& a = fermented_[hint];
    const Fermented& b = fermented_[hint + 1];
    return {a.main + share * (b.main - a.main), a.slow + share * (b.slow - a.slow)};
}

double GravityShape::thermal_h_when_left(double main, double slow, double left) const {
    const auto left_at = [&](const Fermented& f) { return main * (1.0 - f.main) + slow * (1.0 - f.slow); };
    if (left_at(fermented_[0]) <= left) return thermal_h_[0];
    if (left_at(fermented_[nodes - 1]) > left) {
        double low = thermal_h_[nodes - 1];
        double high = never;
        if (left_at(beyond(high)) > left) return never;
        for (int i = 0; i < halvings; ++i) {
            const double middle = (low + high) / 2;
            (left_at(beyond(middle)) > left ? low : high) = middle;
        }
        return high;
    }
    std::size_t low = 0;
    std::size_t high = nodes - 1;
    while (high - low > 1) {
        const std::size_t middle = (low + high) / 2;
        (left_at(fermented_[middle]) > left ? low : high) = middle;
    }
    const double before = left_at(fermented_[low]);
    const double after = left_at(fermented_[high]);
    return thermal_h_[low] + (before - left) / (before - after) * (thermal_h_[high] - thermal_h_[low]);
}

}  // namespace gyled::estimation::gravity
