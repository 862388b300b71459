#include "daemon/cellar/fact_ledger.hpp"

#include <algorithm>
#include <map>

namespace gyled::cellar {
namespace {

using estimation::Fact;
using estimation::FactKind;
using Places = std::map<FactKind, std::vector<std::size_t>>;

Places places_of(const std::vector<Fact>& facts) {
    Places places;
    for (std::size_t i = 0; i < facts.size(); ++i) places[facts[i].kind].push_back(i);
    return places;
}

/// Takes over what is believed of a known fact now; true when that is news.
bool take_over(Fact& known, const Fact& believed) {
    if (known.revoked == believed.revoked) return false;
    const base::Timestamp at = known.at;
    known = believed;
    known.at = at;
    return true;
}

void revoke(Fact& known, base::Timestamp now) {
    known.revoked = true;
    known.revoked_at = now;
    known.revoked_because = "Readings that came late changed the picture.";
}

}  // namespace

std::vector<Fact> reconcile(std::vector<Fact>& told, const std::vector<Fact>& believed, base::Timestamp now) {
    std::vector<Fact> changes;
    const Places places = places_of(told);
    std::map<FactKind, std::size_t> seen;
    for (const Fact& fact : believed) {
        const std::size_t nth = seen[fact.kind]++;
        const auto known = places.find(fact.kind);
        if (known == places.end() || nth >= known->second.size()) {
            told.push_back(fact);
            changes.push_back(fact);
        } else if (take_over(told[known->second[nth]], fact)) {
            changes.push_back(told[known->second[nth]]);
        }
    }
    for (const auto& [kind, indices] : places)
        for (std::size_t nth = seen[kind]; nth < indices.size(); ++nth) {
            Fact& known = told[indices[nth]];
            if (known.revoked) continue;
            revoke(known, now);
            changes.push_back(known);
        }
    return changes;
}

bool holds(const std::vector<Fact>& facts, FactKind kind) {
    return std::any_of(facts.begin(), facts.end(),
                       [&](const Fact& fact) { return fact.kind == kind && !fact.revoked; });
}

}  // namespace gyled::cellar
