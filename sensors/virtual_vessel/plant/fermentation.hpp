#pragma once
/// Wort becoming beer, per litre of wort: sugars, yeast, lag, sleep and death. A different form from the
/// smooth curve in thermal time that estimators fit, on purpose.

#include <array>

#include "sensors/virtual_vessel/plant/yeast.hpp"

namespace gyled::virtual_vessel {

/// What the fermentation shows to the outside.
struct BeerState {
    double sg = 1.0;  ///< apparent, 20/20
    double real_extract_plato = 0;
    double alcohol_by_volume = 0;  ///< percent
    double rate_sg_per_day = 0;    ///< negative while fermenting
    double fermented_g_per_l = 0;  ///< real extract gone since pitching, g per litre of wort
    double drop_done = 0;          ///< share of the fermentable extract gone, 0 to 1
    double yeast_g_per_l = 0;      ///< in suspension, awake or not
};

class Fermentation {
public:
    Fermentation(const Yeast& yeast, double original_gravity);

    /// Lets `hours` pass at one temperature (midpoint rule; keep the step below a quarter of an hour).
    void step(double hours, double celsius);

    /// Most of the yeast gives up within some hours. For good.
    void give_up() { giving_up_ = true; }
    /// Enzymes begin to free `grams_per_l` more fermentable extract, with a time constant of three days.
    void free_more(double grams_per_l) { bound_ += grams_per_l; }
    /// All that the first organism can ferment is fermented, and the yeast has settled.
    void finish_at_once();

    [[nodiscard]] BeerState beer() const;
    [[nodiscard]] double fermented_g_per_l() const { return start_extract_ - extract_left(); }
    [[nodiscard]] double rate_g_per_l_h() const { return rate_; }  ///< of the last step
    [[nodiscard]] double drop_done() const;

    /// Real extract (g per litre of wort) that one SG point (0.001) of apparent drop is worth, near the end.
    [[nodiscard]] double grams_per_point() const;

private:
    enum Part { fast, slow, dextrin, yeast, settled, asleep, nitrogen, lag, second, parts };
    using Vector = std::array<double, parts>;
    [[nodiscard]] Vector slope(const Vector& now, double vigour_now, double dormancy_now) const;
    [[nodiscard]] double sg_when_gone(double fermented) const;
    [[nodiscard]] double extract_left() const { return now_[fast] + now_[slow] + now_[dextrin] + rest_; }

    Yeast yeast_;
    double original_plato_;
    double wort_g_per_l_;
    double start_extract_;  ///< g per litre of wort
    double fermentable_;    ///< by the first organism
    double rest_ = 0;       ///< what nobody ferments
    double bound_ = 0;      ///< what enzymes may still free, taken from `rest_`
    Vector now_{};
    double rate_ = 0;
    double viability_ = 1;
    bool giving_up_ = false;
};

}  // namespace gyled::virtual_vessel
