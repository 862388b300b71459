#pragma once
/// One alarm from its breach to its return: plain values that the store keeps, so that a restart goes on
/// silently. Owned by the panel; copies are free. Canonical units, event times in UTC.

#include <optional>
#include <string>

#include "daemon/alarms/alarm.hpp"

namespace gyled::alarms {

/// How it stands now, beside how it was when it was raised. Refreshed by every evaluation that knows; left as
/// it was while nobody knows.
struct Present {
    Timestamp evidence_at{};        ///< time of the newest reading or belief that it rests on
    std::optional<double> value{};  ///< of the quantity that the rule watches
    std::string title;  ///< as if it were raised now; empty once the value is within the limit again
    std::string text;   ///< "Head pressure is 1.95 bar; ... 1.72 bar when raised at Sun 1 Mar 14:02."
    unsigned step = 0;  ///< of a rule that escalates: where it stands, a deadband's room allowed for
    friend bool operator==(const Present&, const Present&) = default;
};

struct Occurrence {
    Transition last;  ///< the last step of its life; carries id, rule, subject, priority, raised_at and what
                      ///< was said at that step
    AlarmState state{};         ///< the inner state: also pending and returning
    Timestamp since;            ///< when the inner state began: delays run from here with time
    Timestamp breached_since;   ///< when the limit was passed, before the on-delay
    bool acknowledged = false;  ///< survives a return that did not last
    std::optional<Timestamp> shelved_until;
    unsigned step = 0;                   ///< beyond this one it is raised anew: the worst that was raised, or
                                         ///< where it stood when a person acknowledged or shelved it
    std::optional<double> raised_value;  ///< as it was when raised
    std::optional<double> worst;         ///< the extreme since the breach
    Present present;
    friend bool operator==(const Occurrence&, const Occurrence&) = default;
};

/// What can be made of a recorded step where nothing else was kept: databases of version 1 hold no
/// PanelState. Delays, extremes and the end of a shelf are lost; a shelved alarm counts as acknowledged, so
/// that it neither stays silent for ever nor rings at once. Precondition: state is raised, acknowledged or
/// shelved.
[[nodiscard]] Occurrence occurrence_from(const Transition& last);

}  // namespace gyled::alarms
