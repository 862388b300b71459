#pragma once
/// The curves that brewers' laboratories fit: in warm time the drop follows Gompertz, or the five-parameter
/// logistic.
///
/// Sources: Speers, Rogers and Smith, J. Inst. Brew. 109 (2003) 229; ASBC Yeast-14; Reid et al. 2021 for the
/// fifth parameter. From memory.

#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

namespace gyled::virtual_vessel {

class GrowthCurve {
public:
    struct Constants {
        Warmth warmth;
        double rate_per_h;
        double asymmetry;  ///< 0: Gompertz; 1: the plain logistic; above: steeper towards the end
        double begun;      ///< share of the curve that lies before pitching: small means a long lag
    };
    [[nodiscard]] static Constants draw_gompertz(base::Culture culture, bool at_once, Random& random);
    [[nodiscard]] static Constants draw_logistic(base::Culture culture, bool at_once, Random& random);

    GrowthCurve(const Constants& constants, double fermentable_g_per_l);
    void step(const Moment& moment);
    void add(double grams);
    [[nodiscard]] double left() const { return total_ - gone_; }

private:
    /// The curve's own slope at a share done: r F (1 - F^v) / v, with the limit -r F ln F for v = 0.
    [[nodiscard]] double slope(double share) const;

    Constants k_;
    double total_;
    double gone_ = 0;
};

}  // namespace gyled::virtual_vessel
