#include "daemon/estimation/gravity/teaching.hpp"

#include <Eigen/Dense>

#include "daemon/estimation/gravity/priors.hpp"

namespace gyled::estimation {
namespace {

using Matrix = Eigen::Matrix<double, gravity::index::learnt, gravity::index::learnt>;

/// Symmetric, so the order of rows and columns does not matter.
Matrix precision_of(const gravity::LearnedFamily& family) {
    const Eigen::LLT<Matrix> factor{(family.covariance + family.covariance.transpose()) / 2};
    return factor.info() == Eigen::Success ? Matrix{factor.solve(Matrix::Identity())} : Matrix::Zero();
}

/// Covariance intersection; what makes no sense is left as it was taught.
void join(gravity::LearnedFamily& taught, const gravity::LearnedFamily& known, double weight) {
    const Matrix of_known = weight * precision_of(known), of_taught = (1 - weight) * precision_of(taught);
    const Eigen::LLT<Matrix> precision{of_known + of_taught};
    if (precision.info() != Eigen::Success) return;
    taught.mean = precision.solve(of_known * known.mean + of_taught * taught.mean);
    taught.covariance = precision.solve(Matrix::Identity());
    taught.chance = weight * known.chance + (1 - weight) * taught.chance;
}

/// How many batches have taught since one began.
int teachers_since(const LearnedCurve& known, const std::optional<LearnedCurve>& began_with) {
    return known.batches - (began_with ? began_with->batches : 0);
}

}  // namespace

LearnedCurve joined(const std::optional<LearnedCurve>& known, const std::optional<LearnedCurve>& began_with,
                    LearnedCurve taught) {
    if (!known || !gravity::is_usable(*known) || !gravity::is_usable(taught)) return taught;
    const int others = teachers_since(*known, began_with);
    if (others <= 0) return taught;
    const double weight = static_cast<double>(others) / (others + 1);
    gravity::LearnedFamilies families = gravity::unpacked(taught);
    const gravity::LearnedFamilies before = gravity::unpacked(*known);
    for (std::size_t f = 0; f < families.size(); ++f) join(families[f], before[f], weight);
    return gravity::packed(families, known->batches + 1);
}

}  // namespace gyled::estimation
