#include "daemon/estimation/gravity/shape.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::estimation::gravity {
namespace {

/// Nodes evenly spaced in the logit of c, from 0.4 % fermented to 0.01 % left: dense at both ends.
constexpr double first_logit = -5.5;
constexpr double logit_span = 14.7;
/// Of an interval of some 1e5 h: down to a third of a second.
constexpr int halvings = 30;
/// What is left at the two ends of `duration_h`, and where the slow pool keeps its pace (see the header).
constexpr double left_after_duration = 0.25;
constexpr double left_before_duration = 0.95;

struct Node {
    double gone;
    double left;
    double log_left;
};
template <std::size_t n>
std::array<Node, n> spread() {
    std::array<Node, n> table{};
    table[0] = {0.0, 1.0, 0.0};
    for (std::size_t i = 1; i < n; ++i) {
        const double z = first_logit + logit_span * static_cast<double>(i - 1) / static_cast<double>(n - 2);
        const double left = 1.0 / (1.0 + std::exp(z));
        table[i] = {1.0 - left, left, std::log(left)};
    }
    return table;
}

/// B tau(u): with a = x0 + 1 + g, b = x0 g, h = g - b / a and s = a + b, the integrand splits into partial
/// fractions,
///     (u + k) / (u (1 + k)) * (1 + i (1 - u)) * (1/a + h / (s - a u)),
/// and with p = 1 + i - k i, q = k (1 + i), L = -ln u, M = ln((s - a u) / b), c = 1 - u
///     B tau (1 + k) = p (c/a + h M/a) - i ((1 - u^2)/(2a) + h (s M/a - c)/a) + q (L/a + h (L + M)/s).
class UnitTime {
public:
    UnitTime(double x0, double g, double k, double i) {
        const double a = x0 + 1.0 + g;
        const double b = x0 * g;
        const double h = g - b / a;
        const double s = a + b;
        const double p = 1.0 + i - k * i;
        const double q = k * (1.0 + i);
        const double scale = 1.0 / (1.0 + k);
        a_ = a;
        s_ = s;
        log_b_ = std::log(b);
        of_gone_ = scale * (p + i * h) / a;
        of_square_ = -scale * i / a / 2;
        of_log_left_ = scale * q * (1.0 / a + h / s);
        of_log_yeast_ = scale * h * (p / a - i * s / (a * a) + q / s);
    }
    [[nodiscard]] double at(double left, double log_left) const {
        const double log_yeast = std::log(s_ - a_ * left) - log_b_;
        return of_gone_ * (1.0 - left) + of_square_ * (1.0 - left * left) - of_log_left_ * log_left +
               of_log_yeast_ * log_yeast;
    }

private:
    double a_, s_, log_b_;
    double of_gone_, of_square_, of_log_left_, of_log_yeast_;
};

}  // namespace

GravityShape::GravityShape(const ShapeParameters& p) {
    static const auto table = spread<nodes>();
    const double k = p.hunger;
    const UnitTime unit{p.start, p.saturation, k, p.fatigue};
    static const double log_after = std::log(left_after_duration);
    static const double log_before = std::log(left_before_duration);
    const double per_unit = p.duration_h / (unit.at(left_after_duration, log_after) -
                                            unit.at(left_before_duration, log_before));  // 1 / B
    const double slow = p.slow * (1.0 + k) / (k + left_after_duration);
    for (std::size_t i = 0; i < nodes; ++i) {
        const Node& node = table[i];
        thermal_h_[i] = p.lag_h + (i == 0 ? 0.0 : per_unit * unit.at(node.left, node.log_left));
        // u2(u): the same yeast, so d ln u2 = r2 du / hunger(u).
        const double eaten = (node.gone - k * node.log_left) / (1.0 + k);
        fermented_[i] = {node.gone, 1.0 - std::exp(-slow * eaten)};
    }
    const double grown = (1.0 + p.start) / (1.0 + p.fatigue) / per_unit;
    main_per_h_ = grown * (1.0 + k) / k;
    slow_per_h_ = grown * slow;
    lag_h_ = p.lag_h;
    if (!p.has_second_organism) return;
    slow_per_h_ = p.second_per_h;
    second_odds_ = p.second_odds;
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
