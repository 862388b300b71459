#pragma once
/// One culture in one batch, of any family.

#include <optional>
#include <variant>

#include "sensors/virtual_vessel/plant/kinetics/activated_biomass.hpp"
#include "sensors/virtual_vessel/plant/kinetics/family.hpp"
#include "sensors/virtual_vessel/plant/kinetics/growth_curve.hpp"
#include "sensors/virtual_vessel/plant/kinetics/monod.hpp"
#include "sensors/virtual_vessel/plant/kinetics/nitrogen_limited.hpp"
#include "sensors/virtual_vessel/plant/kinetics/second_organism.hpp"
#include "sensors/virtual_vessel/plant/kinetics/three_sugars.hpp"

namespace gyled::virtual_vessel {

/// What of a culture is drawn for a batch, before it meets its wort.
struct Yeast {
    std::variant<Monod::Constants, ActivatedBiomass::Constants, GrowthCurve::Constants,
                 ThreeSugars::Constants, NitrogenLimited::Constants>
        first;
    double attenuation_percent = 75;  ///< apparent, where the first organism ends
    double share_kept = 0.09;         ///< of the extract, by the yeast for itself; see `yields`

    std::optional<SecondOrganism::Constants> second;
    double second_attenuation_percent = 0;  ///< apparent, where the second ends
};

/// Attenuation 70 to 80 % (lager 75 to 82 %; mixed 86 to 97 % in the end): common practice. One batch in
/// three starts at once, as repitched slurry does, whatever its family.
[[nodiscard]] Yeast draw_yeast(base::Culture culture, Family family, Random& random);

/// Fermentable extract and what eats it, g per litre of wort.
class Kinetics {
public:
    Kinetics(const Yeast& yeast, double fermentable_g_per_l);

    void step(const Moment& moment);
    void add(double grams);  ///< more fermentable extract
    [[nodiscard]] double left() const;

private:
    std::variant<Monod, ActivatedBiomass, GrowthCurve, ThreeSugars, NitrogenLimited> first_;
};

}  // namespace gyled::virtual_vessel
