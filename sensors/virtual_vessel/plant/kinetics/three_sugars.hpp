#pragma once
/// Glucose, then maltose, then maltotriose: each is taken up freely only once the ones before are low.
///
/// Source of the form: Engasser, Marc, Moll and Duteurtre, Proc. EBC Congress 18 (1981) 579; Gee and Ramirez,
/// J. Inst. Brew. 100 (1994) 321. From memory; the constants are tuned to the trade's usual days.

#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

namespace gyled::virtual_vessel {

class ThreeSugars {
public:
    struct Constants {
        Warmth warmth;
        double pitch;                                    ///< g/L
        double grown_per_g;                              ///< yeast from sugar
        double glucose_share, maltotriose_share;         ///< of what ferments; the rest is maltose
        double glucose_rate, maltose_rate, triose_rate;  ///< g/(g h) at the reference
        double half;                                     ///< half saturation, g/L
        double glucose_hold, maltose_hold;               ///< g/L that halves the uptake of what comes later
    };
    [[nodiscard]] static Constants draw(base::Culture culture, bool at_once, Random& random);

    ThreeSugars(const Constants& constants, double fermentable_g_per_l);
    void step(const Moment& moment);
    void add(double grams) { now_[maltose] += grams; }
    [[nodiscard]] double left() const { return now_[glucose] + now_[maltose] + now_[maltotriose]; }

private:
    enum Part { glucose, maltose, maltotriose, yeast, parts };
    using Vector = std::array<double, parts>;

    Constants k_;
    Vector now_{};
};

}  // namespace gyled::virtual_vessel
