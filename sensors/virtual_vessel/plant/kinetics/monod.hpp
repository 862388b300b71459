#pragma once
/// Monod's uptake and growth, Baranyi's lag: two sugars, the slow one held back by the fast one.

#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

namespace gyled::virtual_vessel {

/// g per litre of wort, g dry yeast, hours; rates at the reference temperature. The ranges from which they
/// are drawn are tuned so that a batch is finished within the trade's usual days (common practice).
class Monod {
public:
    struct Constants {
        Warmth warmth;
        double pitch;         ///< yeast at the beginning
        double readiness;     ///< physiological state when pitched: small means a long lag
        double growth_per_h;  ///< largest specific growth
        double growth_limit;  ///< yeast that the wort's nitrogen can build
        double fast_uptake;   ///< g/(g h), glucose and maltose
        double fast_half;     ///< half saturation, g/L
        double slow_uptake;   ///< g/(g h), the maltotriose-like rest
        double slow_half;
        double slow_repression;  ///< g/L of fast sugar that halves the uptake of the slow one
        double slow_share;       ///< of the fermentable extract
        double ethanol_limit;    ///< g/L at which it stops
        double settling_per_h;   ///< out of suspension once the sugar is gone
    };
    [[nodiscard]] static Constants draw(base::Culture culture, bool at_once, Random& random);

    Monod(const Constants& constants, double fermentable_g_per_l);
    void step(const Moment& moment);
    void add(double grams) { now_[slow] += grams; }
    [[nodiscard]] double left() const { return now_[fast] + now_[slow]; }

private:
    enum Part { fast, slow, yeast, settled, asleep, nitrogen, lag, parts };
    using Vector = std::array<double, parts>;
    [[nodiscard]] Vector slope(const Vector& now, double vigour, double dormancy, double viability) const;

    Constants k_;
    double start_;
    Vector now_{};
};

}  // namespace gyled::virtual_vessel
