#include "daemon/alarms/occurrence.hpp"

namespace gyled::alarms {

Occurrence occurrence_from(const Transition& last) {
    Occurrence out;
    out.last = last;
    out.acknowledged = last.state != AlarmState::raised;
    out.state = out.acknowledged ? AlarmState::acknowledged : AlarmState::raised;
    out.since = last.at;
    out.breached_since = last.raised_at;
    out.raised_value = last.value;
    out.worst = last.value;
    return out;
}

}  // namespace gyled::alarms
