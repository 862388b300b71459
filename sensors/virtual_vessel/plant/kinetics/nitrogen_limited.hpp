#pragma once
/// Yeast grows until the nitrogen is used up and then works at a steady rate until the sugar ends, abruptly.
///
/// Source of the form: Coleman, Fish and Block, Appl. Environ. Microbiol. 73 (2007) 5875. From memory; the
/// constants are tuned to the trade's usual days, the temperature law is Rosso's.

#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

namespace gyled::virtual_vessel {

class NitrogenLimited {
public:
    struct Constants {
        CardinalTemperatures cardinal;
        double at_reference;  ///< vigour there: the rates hold at the reference
        double pitch;         ///< g/L
        double nitrogen;      ///< yeast that it can build, g/L
        double growth_per_h;
        double uptake;         ///< g/(g h)
        double half;           ///< half saturation, g/L: small, so the end is abrupt
        double death_per_h_g;  ///< per g/L of ethanol
    };
    [[nodiscard]] static Constants draw(base::Culture culture, bool at_once, Random& random);

    NitrogenLimited(const Constants& constants, double fermentable_g_per_l);
    void step(const Moment& moment);
    void add(double grams) { now_[sugar] += grams; }
    [[nodiscard]] double left() const { return now_[sugar]; }

private:
    enum Part { sugar, yeast, nitrogen, parts };
    using Vector = std::array<double, parts>;

    Constants k_;
    double start_;
    Vector now_{};
};

}  // namespace gyled::virtual_vessel
