#pragma once
/// What the heat-ups of a vessel have taught of it, plain values: kept with the vessel's state from batch to
/// batch, until a person has it forgotten.

#include <vector>

namespace gyled::estimation::trend {

struct LearnedHeat {
    static constexpr int current_edition = 1;
    int edition = current_edition;  ///< of what is meant by the numbers below; another one is forgotten
    int heat_ups = 0;               ///< that it rests on
    /// Share of belief in each loss that is thinkable, in the order in which HeatBalance thinks of them;
    /// empty: nothing is known. They sum up to 1.
    std::vector<double> losses;
    double heater_kw = 0;     ///< as the contents felt it, for the litres that were told; 0: not known
    double log_sigma = 0;     ///< of its logarithm, 1 sigma
    double loss_w_per_k = 0;  ///< median, at 60 degC with the room at 20: for the person to read
    friend bool operator==(const LearnedHeat&, const LearnedHeat&) = default;
};

}  // namespace gyled::estimation::trend
