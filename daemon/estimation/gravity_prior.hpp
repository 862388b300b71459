#pragma once
/// What is known of a fermentation before the first reading.

#include <optional>
#include <vector>

#include "daemon/base/stage.hpp"

namespace gyled::estimation {

/// What finished batches taught about how one culture ferments: the posterior of the curve's shape, to become
/// the next batch's prior. Plain numbers, for storing; the meaning of the places belongs to `edition`, and a
/// curve of another edition, or one with sizes that do not fit, is ignored.
struct LearnedCurve {
    int edition = 0;
    int batches = 0;                 ///< how many finished batches stand behind it
    std::vector<double> mean;        ///< of each shape parameter
    std::vector<double> covariance;  ///< row by row, mean.size() squared
    friend bool operator==(const LearnedCurve&, const LearnedCurve&) = default;
};

/// Gravities are SG 20/20 apparent; sigmas are standard deviations in SG.
struct GravityPrior {
    base::Culture culture = base::Culture::ale;
    std::optional<double> original_gravity;  ///< as the brewer measured it
    double original_gravity_sigma = 0.001;
    std::optional<double> expected_final_gravity;  ///< the brewer's expectation
    double expected_final_gravity_sigma = 0.0024;
    double sensor_bias_sigma = 0.004;
    std::optional<LearnedCurve> learned;  ///< from the brewer's own batches of the same culture
};

}  // namespace gyled::estimation
