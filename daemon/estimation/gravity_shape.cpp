#include "daemon/estimation/gravity_shape.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::estimation {
namespace {

/// Nodes evenly spaced in the logit of c, from 0.4 % fermented to 0.01 % left: dense at both ends.
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
        const double z = -5.5 + 14.7 * static_cast<double>(i - 1) / static_cast<double>(n - 2);
        const double left = 1.0 / (1.0 + std::exp(z));
        table[i] = {1.0 - left, left, std::log(left)};
    }
    return table;
}

/// B tau(u): with a = x0 + 1 + g, b = x0 g, h = g - b / a and s = a + b, the integrand splits into partial
/// fractions,
///     (u + k) / (u (1 + k)) * (1/a + h / (s - a u)),
/// and with L = -ln u, M = ln((s - a u) / b)
///     B tau = [ (1 - u) / a + k (1/a + h/s) L + h (1/a + k/s) M ] / (1 + k).
class UnitTime {
public:
    UnitTime(double x0, double g, double k)
        : k_{k}, a_{x0 + 1.0 + g}, b_{x0 * g}, h_{g - b_ / a_}, s_{a_ + b_}, log_b_{std::log(b_)} {}
    [[nodiscard]] double at(double left, double log_left) const {
        const double m = std::log(s_ - a_ * left) - log_b_;
        return ((1.0 - left) / a_ - k_ * (1.0 / a_ + h_ / s_) * log_left + h_ * (1.0 / a_ + k_ / s_) * m) /
               (1.0 + k_);
    }

private:
    double k_, a_, b_, h_, s_, log_b_;
};

}  // namespace

GravityShape::GravityShape(const ShapeParameters& p) {
    static const auto table = spread<nodes>();
    const double k = p.hunger;
    const UnitTime unit{p.start, p.saturation, k};
    static const double log_25 = std::log(0.25);
    static const double log_95 = std::log(0.95);
    const double per_unit = p.duration_h / (unit.at(0.25, log_25) - unit.at(0.95, log_95));  // 1 / B
    for (std::size_t i = 0; i < nodes; ++i) {
        const Node& node = table[i];
        thermal_h_[i] = p.lag_h + (i == 0 ? 0.0 : per_unit * unit.at(node.left, node.log_left));
        // u2(u): the same yeast, so d ln u2 = r du / hunger(u).
        const double eaten = (node.gone - k * node.log_left) / (1.0 + k);
        fermented_[i] = {node.gone, 1.0 - std::exp(-p.slow * eaten)};
    }
    const double grown = (1.0 + p.start) / per_unit;
    main_per_h_ = grown * (1.0 + k) / k;
    slow_per_h_ = grown * p.slow;
}

Fermented GravityShape::beyond(double thermal_h) const {
    const double more = thermal_h - thermal_h_[nodes - 1];
    const Fermented& last = fermented_[nodes - 1];
    return {1.0 - (1.0 - last.main) * std::exp(-main_per_h_ * more),
            1.0 - (1.0 - last.slow) * std::exp(-slow_per_h_ * more)};
}

Fermented GravityShape::at(double thermal_h, std::size_t& hint) const {
    if (thermal_h <= thermal_h_[0]) return {};
    if (thermal_h >= thermal_h_[nodes - 1]) return beyond(thermal_h);
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
        for (int i = 0; i < 30; ++i) {
            const double middle = 0.5 * (low + high);
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

}  // namespace gyled::estimation
