#include "daemon/cellar/plate_gate.hpp"

#include <utility>

namespace gyled::cellar {

bool passes(batch::Findings findings, Consent consent, Effects& effects) {
    const bool is_refused = consent == Consent::none
                                ? !findings.empty()
                                : consent == Consent::given && batch::is_dangerous(findings);
    auto& told = is_refused ? effects.problems : effects.answers;
    for (const batch::Finding& finding : findings) told.push_back(finding.text);
    effects.findings = std::move(findings);
    return !is_refused;
}

}  // namespace gyled::cellar
