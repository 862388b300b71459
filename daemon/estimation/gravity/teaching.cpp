#include "daemon/estimation/gravity/teaching.hpp"

#include <Eigen/Dense>

#include "daemon/estimation/gravity/priors.hpp"

namespace gyled::estimation {
namespace {

using Vector = Eigen::Matrix<double, gravity::index::learnt, 1>;
using Matrix = Eigen::Matrix<double, gravity::index::learnt, gravity::index::learnt>;

Vector mean_of(const LearnedCurve& curve) {
    return Eigen::Map<const Vector>{curve.mean.data()};
}

/// Symmetric, so the order of rows and columns does not matter.
Matrix precision_of(const LearnedCurve& curve) {
    const Matrix covariance = Eigen::Map<const Matrix>{curve.covariance.data()};
    const Eigen::LLT<Matrix> factor{(covariance + covariance.transpose()) / 2};
    return factor.info() == Eigen::Success ? Matrix{factor.solve(Matrix::Identity())} : Matrix::Zero();
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
    const Matrix of_known = weight * precision_of(*known), of_taught = (1 - weight) * precision_of(taught);
    const Eigen::LLT<Matrix> precision{of_known + of_taught};
    if (precision.info() != Eigen::Success) return taught;
    const Vector mean = precision.solve(of_known * mean_of(*known) + of_taught * mean_of(taught));
    const Matrix covariance = precision.solve(Matrix::Identity());
    taught.batches = known->batches + 1;
    taught.mean.assign(mean.begin(), mean.end());
    taught.covariance.assign(covariance.data(), covariance.data() + covariance.size());
    return taught;
}

}  // namespace gyled::estimation
