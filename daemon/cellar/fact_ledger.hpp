#pragma once
/// Compares what the estimators hold to be so with what was told before. Pure.

#include <vector>

#include "daemon/base/time.hpp"
#include "daemon/estimation/fact.hpp"

namespace gyled::cellar {

/// Brings `told` up to date with `believed` and returns the entries that are new, revoked or restored. The
/// nth fact of a kind is the same fact in both, whatever moment a late reading now gives it: told facts keep
/// their moment. A told fact that is no longer believed at all is revoked at `now`.
[[nodiscard]] std::vector<estimation::Fact> reconcile(std::vector<estimation::Fact>& told,
                                                      const std::vector<estimation::Fact>& believed,
                                                      base::Timestamp now);

/// Does an unrevoked fact of this kind stand?
[[nodiscard]] bool holds(const std::vector<estimation::Fact>& facts, estimation::FactKind kind);

}  // namespace gyled::cellar
