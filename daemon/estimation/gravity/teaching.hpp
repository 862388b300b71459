#pragma once
/// Covariance intersection of what several batches of one culture taught. Pure functions; safe on any thread.

#include "daemon/estimation/gravity/prior.hpp"

namespace gyled::estimation {

/// What is known of a culture once one more batch of it has taught. `known`: before that; `began_with`: the
/// prior of that batch; `taught`: its posterior, which holds its prior.
///
/// When nobody else has taught since that batch began, `taught` is all there is. Else both hold what they
/// share, the common prior, and how much cannot be told apart; covariance intersection never claims more
/// than is known, whatever they share:
///     P^-1 = w A^-1 + (1 - w) B^-1,   P^-1 m = w A^-1 a + (1 - w) B^-1 b
/// Source: Julier and Uhlmann, A non-divergent estimation algorithm in the presence of unknown correlations,
/// Proc. American Control Conference 1997, 2369-2373. Each batch has the same weight: the k that taught since
/// then stand in `known`, so w = k / (k + 1).
///
/// A `known` of another edition, or one that makes no sense, is replaced.
[[nodiscard]] LearnedCurve joined(const std::optional<LearnedCurve>& known,
                                  const std::optional<LearnedCurve>& began_with, LearnedCurve taught);

}  // namespace gyled::estimation
