#pragma once
/// Thermal time: hours weighted by how fast yeast works at the temperature of each hour.
///
/// One hour at the reference temperature of the culture is one hour of thermal time. The rate follows
///     exp(E / R (1 / T_reference - 1 / T))
/// with an activation energy E of some 55 kJ/mol (a Q10 of 2.2 near 15 degC; common practice says 2 to 3),
/// and fades out where the culture goes dormant. Neither E nor what little a sleeping culture does is known
/// beforehand, so the clock runs for three energies at once, and for the sleep apart; `at` mixes them.

#include <array>

#include "daemon/base/stage.hpp"

namespace gyled::estimation {

/// Thermal hours (or thermal hours per hour) at three activation energies while awake, and while asleep.
struct ThermalTime {
    double gentle = 0;  ///< at 30 kJ/mol
    double usual = 0;   ///< at 55 kJ/mol
    double steep = 0;   ///< at 80 kJ/mol
    double asleep = 0;  ///< what the cold hours would count if the culture were awake, at 55 kJ/mol

    friend ThermalTime operator+(ThermalTime a, ThermalTime b) {
        return {a.gentle + b.gentle, a.usual + b.usual, a.steep + b.steep, a.asleep + b.asleep};
    }
    friend ThermalTime operator*(double k, ThermalTime a) {
        return {k * a.gentle, k * a.usual, k * a.steep, k * a.asleep};
    }
};

/// How one possible culture counts: its activation energy, and the share of its work that it does in the
/// cold.
class ThermalMix {
public:
    /// `energy_kj_per_mol` is used within 20 to 95.
    ThermalMix(double energy_kj_per_mol, double work_asleep);
    [[nodiscard]] double at(const ThermalTime& t) const {
        return weights_[0] * t.gentle + weights_[1] * t.usual + weights_[2] * t.steep +
               weights_[3] * t.asleep;
    }

private:
    std::array<double, 4> weights_;  // quadratic in the energy through 30, 55 and 80 kJ/mol
};

/// degC at which thermal hours are hours.
[[nodiscard]] double reference_c(base::Culture culture);
/// 1 when the culture is wide awake, 0 when dormant, 0.5 at the edge; degC.
[[nodiscard]] double wakefulness(base::Culture culture, double beer_c);
/// Thermal hours per hour at a temperature, degC.
[[nodiscard]] ThermalTime thermal_speed(base::Culture culture, double beer_c);

}  // namespace gyled::estimation
