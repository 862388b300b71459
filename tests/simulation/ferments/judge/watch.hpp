#pragma once
/// A world lived through by the product's estimator, as a running batch feeds it: readings and the brewer's
/// words in, what it believed and said out.

#include <optional>
#include <vector>

#include "daemon/estimation/batch_estimator.hpp"
#include "tests/simulation/ferments/truth/world.hpp"

namespace gyled::ferment_worlds {

struct Diary {
    std::vector<estimation::EstimateSet> beliefs;  ///< each quarter of an hour, as first said
    std::vector<estimation::Fact> facts;
    std::optional<estimation::LearnedCurve> learned;

    /// Believed last by then; nothing when it was not known.
    [[nodiscard]] std::optional<base::Estimate> believed(Timestamp at, base::Quantity quantity) const;
};

/// `learned`: from batches of the same culture before.
[[nodiscard]] Diary watch(const World& world, const std::optional<estimation::LearnedCurve>& learned = {});

}  // namespace gyled::ferment_worlds
