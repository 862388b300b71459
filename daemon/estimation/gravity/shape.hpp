#pragma once
/// The shape of a fermentation in thermal time: which fraction is fermented when.
///
/// u is the fraction of the main extract that is left, c = 1 - u what is gone. Three forms of du/dtau:
///     growing yeast      -B growth(c) hunger(u)
///         growth = (x0 + c (1 + g) / (c + g)) / (1 + i c)   yeast grows with what it ate, saturates (g
///                  small) or not, and tires of its own alcohol (i)
///         hunger = u (1 + k) / (u + k)      first order (k large) or steady until an abrupt end (k small)
///     powered logistic   -B e (1 - e^(1/s))   with e = c + x0 u: the five-parameter logistic (Fermentation
///                  2021, 7, 13), s its asymmetry
///     Gompertz           -B e ln(1/e)         likewise (Zwietering 1990)
/// g and k large give the logistic curve (ASBC Yeast-14); both small give yeast that stops growing when
/// nitrogen runs out and ferments on steadily (Coleman, Fish and Block 2007); i large is the inhibition of
/// de Andres-Toro et al. 1998. A second, slower pool (maltotriose; dextrins in mixed cultures) falls with the
/// same yeast, repressed while there is much of the first (Engasser 1981, Gee and Ramirez 1994):
///     du2/dtau = -B r (1 + k) / (1/4 + k) growth(c) u2 / (1 + u / p)
/// which makes r its pace against the last of the main extract.
/// In mixed cultures the slow extract is eaten by another organism, which grows on its own (logistically):
///     c2 = (1 - e) / (1 + o e),  e = exp(-q tau)
/// first order for o = 0, ever later and steeper for larger o.
/// tau(u) and u2(u) are found by the trapezoid rule in ln(c/u), in which all forms are smooth.

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>

namespace gyled::estimation::gravity {

enum class Form : std::uint8_t { growing_yeast, powered_logistic, gompertz };

struct ShapeParameters {
    Form form = Form::growing_yeast;
    double duration_h = 50;  ///< thermal hours in which the main extract goes from 5 to 75 % fermented
    /// Thermal hours after pitching in which its first 5 % go: a lag, and then what the curve takes for them.
    /// Where the curve would take longer, it is hurried.
    double onset_h = 10;
    double start = 0.03;    ///< x0: the activity of the yeast as pitched, as a share of the grown one
    double saturation = 2;  ///< g
    double hunger = 0.4;    ///< k
    double fatigue = 0.5;   ///< i
    double asymmetry = 1;   ///< s
    double slow = 0.25;     ///< r: how fast the second pool falls
    double repression = std::numeric_limits<double>::infinity();  ///< p
    bool has_second_organism = false;
    double second_per_h = 0.01;  ///< q, of thermal time
    double second_odds = 3;      ///< o
};

/// Fractions fermented, 0 to 1.
struct Fermented {
    double main = 0;
    double slow = 0;
};

class GravityShape {
public:
    explicit GravityShape(const ShapeParameters& parameters);

    /// At a thermal time since pitching, hours. `hint` speeds up calls with rising times: begin with 0.
    [[nodiscard]] Fermented at(double thermal_h, std::size_t& hint) const;
    [[nodiscard]] Fermented at(double thermal_h) const {
        std::size_t hint = 0;
        return at(thermal_h, hint);
    }

    /// The thermal time at which `main` and `slow` extract (any unit) have together fallen to `left`; at
    /// least the lag, at most `never`.
    [[nodiscard]] double thermal_h_when_left(double main, double slow, double left) const;
    static constexpr double never = 1e5;

private:
    static constexpr std::size_t nodes = 73;
    [[nodiscard]] double by_second_organism(double thermal_h) const;
    [[nodiscard]] Fermented beyond(double thermal_h) const;

    std::array<double, nodes> thermal_h_;
    std::array<Fermented, nodes> fermented_;
    double main_per_h_;  // first-order rates beyond the last node
    double slow_per_h_;
    double lag_h_ = 0;         // of the second organism
    double second_odds_ = -1;  // negative: no second organism
};

}  // namespace gyled::estimation::gravity
