#pragma once
/// Latent yeast wakes up, works and dies, each step with a temperature law of its own.
///
/// Source: de Andres-Toro, Giron-Sierra, Lopez-Orozco, Fernandez-Conde, Peinado and Garcia-Ochoa, Math.
/// Comput. Simul. 48 (1998) 65, a lager at 8 to 16 degC, 130 g/L of sugar. From memory.

#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

namespace gyled::virtual_vessel {

class ActivatedBiomass {
public:
    /// The published rates hold for one strain at its temperatures; another strain, at its own reference,
    /// works as that one does at `strain_c`, and feels `feels` of each degree from there.
    struct Constants {
        Warmth warmth;  ///< reference and sleep; the rates have laws of their own
        double strain_c;
        double feels;
        double latent, active, dead;  ///< pitched, g/L
    };
    [[nodiscard]] static Constants draw(base::Culture culture, bool at_once, Random& random);

    ActivatedBiomass(const Constants& constants, double fermentable_g_per_l);
    void step(const Moment& moment);
    void add(double grams) { now_[sugar] += grams; }
    [[nodiscard]] double left() const { return now_[sugar]; }

private:
    enum Part { sugar, latent, active, dead, floor, parts };
    using Vector = std::array<double, parts>;

    Constants k_;
    double start_;
    Vector now_{};
};

}  // namespace gyled::virtual_vessel
