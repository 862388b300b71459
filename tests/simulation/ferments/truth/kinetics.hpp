#pragma once
/// Published forms of a fermentation: how the share that is eaten grows.
///
/// Nothing here comes from the daemon or from the plant of the virtual vessel: forms, parameters and
/// temperature laws are those of the sources named at each. Where a source was not at hand its figures are
/// from memory. Times in hours, temperatures degC.

#include <array>
#include <functional>

#include "daemon/base/stage.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::ferment_worlds {

using virtual_vessel::Random;

/// What is carried from moment to moment: sugars and yeasts in the source's own units, or thermal time.
using State = std::array<double, 6>;

struct Kinetics {
    State state{};
    std::function<State(const State&, double celsius)> slope;  ///< per hour, wide awake
    std::function<double(const State&)> eaten;                 ///< share of what was there, 0 to 1
    double pace = 1;                                           ///< of this batch
    double asleep_below_c = 4;                                 ///< and half awake two degrees above it

    /// One step of the midpoint rule; `activity`: share of the yeast that works.
    void step(double hours, double celsius, double activity = 1);
};

/// How a batch is pitched.
struct Pitch {
    base::Culture culture = base::Culture::ale;
    double original_points = 50;
    double reference_c = 20;  ///< at which the strain's usual days hold
};

/// P(t) = PE + PD / (1 + exp(B (t - M))): Speers, Rogers and Smith, J. Inst. Brew. 109 (2003) 229; ASBC
/// Yeast-14. B from the trade's days (common practice: ale 3 to 7, lager 7 to 14 from end to end).
[[nodiscard]] Kinetics logistic(const Pitch& pitch, Random& random);
/// The same to a fifth power, PD / (1 + exp(B (t - M)))^s: Reid et al., Fermentation 7 (2021) 13. s below one
/// has a slow tail, above one a slow beginning.
[[nodiscard]] Kinetics five_parameter(const Pitch& pitch, Random& random);
/// The logistic met half way: very active yeast, no lag at all, an exponential decline from the first hour
/// (the nested form of the same paper). Slurry that is pitched again.
[[nodiscard]] Kinetics at_once(const Pitch& pitch, Random& random);
/// y = A exp(-exp(mu e / A (lambda - t) + 1)): Zwietering et al., Appl. Environ. Microbiol. 56 (1990) 1875.
[[nodiscard]] Kinetics gompertz(const Pitch& pitch, Random& random);
/// Latent, active and dead yeast, each rate with its own Arrhenius law: de Andres-Toro et al., Math. Comput.
/// Simul. 48 (1998) 65; a lager at 8 to 14 degC, 130 g/L of sugar at 12.5 degrees Plato. The pitch varies, no
/// rate does.
[[nodiscard]] Kinetics activated_biomass(const Pitch& pitch, Random& random);
/// Glucose, maltose, maltotriose, each held back by the ones before it: Gee and Ramirez, Biotechnol. Bioeng.
/// 31 (1988) 224 and J. Inst. Brew. 100 (1994) 321; Arrhenius with 22.6, 11.3 and 7.16 kcal/mol. 70, 220 and
/// 40 mol/m3 at 11 degrees Plato. The tail is maltotriose. The pitch and the share of maltotriose vary, no
/// rate does.
[[nodiscard]] Kinetics three_sugars(const Pitch& pitch, Random& random);
/// Growth ends with the nitrogen, ethanol kills slowly, sugar goes at the yeast's pace to an abrupt end:
/// Coleman, Fish and Block, Appl. Environ. Microbiol. 73 (2007) 5875, from memory, and its temperature
/// regressions. Their wines had a half saturation of 10 g/L; brewing yeast's high-affinity maltose permease
/// has 4 mmol/L, 1.4 g/L (Serrano, Eur. J. Biochem. 80 (1977) 97).
[[nodiscard]] Kinetics nitrogen_limited(const Pitch& pitch, Random& random);

}  // namespace gyled::ferment_worlds
