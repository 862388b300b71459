#pragma once
/// Wort becoming beer, per litre of wort: what the yeast has eaten, and what the beer weighs and holds then.

#include <optional>

#include "sensors/virtual_vessel/plant/kinetics/kinetics.hpp"
#include "sensors/virtual_vessel/plant/wort.hpp"

namespace gyled::virtual_vessel {

/// What the fermentation shows to the outside.
struct BeerState {
    double sg = 1.0;  ///< apparent, 20/20
    double real_extract_plato = 0;
    double extract_g_per_l = 0;    ///< real
    double alcohol_by_volume = 0;  ///< percent
    double rate_sg_per_day = 0;    ///< negative while fermenting
};

class Fermentation {
public:
    Fermentation(const Yeast& yeast, double original_gravity);

    /// Lets `hours` pass at one temperature; keep the step below a quarter of an hour.
    void step(double hours, double celsius);

    /// Most of the yeast gives up within some hours. For good.
    void give_up() { giving_up_ = true; }
    /// Enzymes begin to free more fermentable extract, worth that many SG points (0.001) at the end, with a
    /// time constant of three days.
    void free_more(double sg_points);
    /// All that the first organism can ferment is fermented; it wakes up no more.
    void finish_at_once();

    [[nodiscard]] BeerState beer() const;
    [[nodiscard]] double rate_g_per_l_h() const { return rate_; }  ///< of the last step
    [[nodiscard]] double co2_g_per_l_h() const { return rate_ * yields_.co2; }
    [[nodiscard]] double drop_done() const;
    /// What the sugar that is left would still give, once all of it has fermented.
    [[nodiscard]] double co2_to_come_g_per_l() const;

private:
    struct Made {
        double sg, real_plato, alcohol_by_weight;
    };
    [[nodiscard]] Made when_gone(double grams) const;
    [[nodiscard]] double grams_to_attenuation(double percent) const;

    Yields yields_;
    double original_sg_;
    double wort_g_per_l_;
    double extract_g_per_l_;  ///< of the wort
    double fermentable_;      ///< by the first organism
    double bound_ = 0;        ///< what enzymes may still free
    double gone_ = 0;
    Kinetics first_;
    std::optional<SecondOrganism> second_;
    double rate_ = 0;
    double viability_ = 1;
    bool giving_up_ = false;
    bool over_ = false;
};

}  // namespace gyled::virtual_vessel
