#pragma once
/// One alarm between two judgements: plain values that storage may keep, so that a restart goes on silently.

#include <optional>
#include <string>

#include "daemon/alarms/alarm.hpp"

namespace gyled::alarms {

struct Occurrence {
    Transition last;    ///< what the outside heard last; carries id, rule, subject, priority, raised_at
    State state{};      ///< the inner state: also pending and returning
    Timestamp since;    ///< event time of the evidence that began the inner state
    bool told = false;  ///< somebody's phone rang for it; "over" goes to them only
    bool acknowledged = false;  ///< survives a return that did not last
    std::optional<Timestamp> shelved_until;
    Timestamp breached_since;     ///< event time at which the present breach began
    std::optional<double> worst;  ///< the extreme since it was breached, canonical unit
    friend bool operator==(const Occurrence&, const Occurrence&) = default;
};

/// The best that can be made of an occurrence's last recorded transition when nothing else was kept.
/// Precondition: its state is raised, acknowledged or shelved.
[[nodiscard]] Occurrence standing_from(const Transition& last);

}  // namespace gyled::alarms
