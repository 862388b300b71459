#pragma once
/// The slow second organism of a mixed culture: it lives, logistically, on what the first leaves.

#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

namespace gyled::virtual_vessel {

class SecondOrganism {
public:
    struct Constants {
        Warmth warmth;
        double pitch;         ///< g/L
        double growth_per_h;  ///< at the reference
        double limit;         ///< g/L that it grows to
        double uptake;        ///< g/(g h)
        double half;          ///< half saturation, g/L
    };
    [[nodiscard]] static Constants draw(Random& random);

    SecondOrganism(const Constants& constants, double dextrin_g_per_l);
    void step(const Moment& moment);
    [[nodiscard]] double left() const { return now_[dextrin]; }

private:
    enum Part { dextrin, biomass, parts };
    using Vector = std::array<double, parts>;

    Constants k_;
    Vector now_{};
};

}  // namespace gyled::virtual_vessel
