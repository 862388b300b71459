#include "daemon/storage/alarm_rows.hpp"

namespace gyled::storage {

using alarms::AlarmState;
using alarms::Priority;

AlarmState state_named(std::string_view text) {
    for (const AlarmState state : {AlarmState::normal, AlarmState::pending, AlarmState::raised,
                                   AlarmState::acknowledged, AlarmState::returning, AlarmState::shelved})
        if (alarms::name(state) == text) return state;
    return AlarmState::raised;
}

Priority priority_or_high(std::string_view text) {
    return alarms::priority_named(text).value_or(Priority::high);
}

alarms::Transition transition_from(const Statement& row) {
    return {.alarm = row.text(0),
            .vessel = row.text(1),
            .rule = row.text(2),
            .subject = row.text(3),
            .state = state_named(row.text(4)),
            .priority = priority_or_high(row.text(5)),
            .at = row.time(6),
            .raised_at = row.time(7),
            .text = row.text(8),
            .value = row.maybe_real(9),
            .limit = row.maybe_real(10),
            .title = row.text(11),
            .annunciated = row.integer(12) != 0};
}

}  // namespace gyled::storage
