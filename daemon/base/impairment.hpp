#pragma once
/// What of the watch itself does not work. One list for all who tell it: page, status, /health, metrics, and
/// the alarm of the same name that rings the phone.

#include <string>
#include <vector>

#include "daemon/base/time.hpp"

namespace gyled::base {

/// Plain value. Filled by the edge that sees it, standing until that edge leaves it out.
struct Impairment {
    std::string name;     ///< of its alarm rule (alarms/impairment_rules.cpp), e.g. "store_failing"
    std::string subject;  ///< which one of several, e.g. a messenger's name; may be empty
    std::string text;     ///< what does not work, as said to a person: "phone not reached: answered 404"
    Timestamp since;
    friend bool operator==(const Impairment&, const Impairment&) = default;
};

using Impairments = std::vector<Impairment>;

/// The same things are impaired, whatever the words about them and whenever they began.
[[nodiscard]] inline bool are_the_same(const Impairments& a, const Impairments& b) {
    if (a.size() != b.size()) return false;
    for (std::size_t i = 0; i < a.size(); ++i)
        if (a[i].name != b[i].name || a[i].subject != b[i].subject) return false;
    return true;
}

}  // namespace gyled::base
