#pragma once
/// The life of one alarm as a table, after the state diagram of IEC 62682 / ISA-18.2 (with its on-delay,
/// off-delay, acknowledgement and shelving). Only policy lives here: no clock, no text; the panel feeds
/// events and does what the rows say. Constant data, proved while compiling; any thread.

#include <cstdint>

#include "daemon/alarms/alarm.hpp"

namespace gyled::alarms {

/// What can befall an alarm.
enum class Event : std::uint8_t {
    breached,        ///< the reading is beyond the limit
    held,            ///< ... and has been for the whole on-delay
    worsened,        ///< ... and has reached a more urgent step than the one it was raised at
    eased,           ///< within the limit, but not yet by the deadband
    returned,        ///< within the limit by more than the deadband
    settled,         ///< ... and has been for the whole off-delay
    acknowledged,    ///< a person has seen it
    expired,         ///< ... and long ago, while it still is breached
    shelved,         ///< a person wants silence until a set time
    unshelved,       ///< that time is over, or the person takes the silence back, and it is still breached
    lapsed,          ///< that time is over and nothing is breached any more
    not_applicable,  ///< the rule no longer applies: another stage, no batch
};

/// What a step means to the outside.
enum class Action : std::uint8_t {
    none,
    raise,   ///< a step to raised
    record,  ///< a step that the person took
    resume,  ///< back to what it was before it seemed to return: raised, or acknowledged
    clear,   ///< a step back to normal
};

struct Row {
    AlarmState from;
    Event on;
    AlarmState to;
    Action action;
};

// clang-format off
inline constexpr Row life[] = {
    {AlarmState::normal,       Event::breached,       AlarmState::pending,      Action::none},

    {AlarmState::pending,      Event::eased,          AlarmState::normal,       Action::none},
    {AlarmState::pending,      Event::returned,       AlarmState::normal,       Action::none},
    {AlarmState::pending,      Event::not_applicable, AlarmState::normal,       Action::none},
    {AlarmState::pending,      Event::held,           AlarmState::raised,       Action::raise},

    {AlarmState::raised,       Event::worsened,       AlarmState::raised,       Action::raise},
    {AlarmState::raised,       Event::returned,       AlarmState::returning,    Action::none},
    {AlarmState::raised,       Event::acknowledged,   AlarmState::acknowledged, Action::record},
    {AlarmState::raised,       Event::shelved,        AlarmState::shelved,      Action::record},
    {AlarmState::raised,       Event::not_applicable, AlarmState::normal,       Action::clear},

    {AlarmState::acknowledged, Event::worsened,       AlarmState::raised,       Action::raise},
    {AlarmState::acknowledged, Event::expired,        AlarmState::raised,       Action::raise},
    {AlarmState::acknowledged, Event::returned,       AlarmState::returning,    Action::none},
    {AlarmState::acknowledged, Event::shelved,        AlarmState::shelved,      Action::record},
    {AlarmState::acknowledged, Event::not_applicable, AlarmState::normal,       Action::clear},

    {AlarmState::returning,    Event::breached,       AlarmState::raised,       Action::resume},
    {AlarmState::returning,    Event::settled,        AlarmState::normal,       Action::clear},
    {AlarmState::returning,    Event::acknowledged,   AlarmState::returning,    Action::record},
    {AlarmState::returning,    Event::shelved,        AlarmState::shelved,      Action::record},
    {AlarmState::returning,    Event::not_applicable, AlarmState::normal,       Action::clear},

    {AlarmState::shelved,      Event::shelved,        AlarmState::shelved,      Action::record},
    {AlarmState::shelved,      Event::worsened,       AlarmState::raised,       Action::raise},
    {AlarmState::shelved,      Event::unshelved,      AlarmState::raised,       Action::raise},
    {AlarmState::shelved,      Event::lapsed,         AlarmState::normal,       Action::clear},
    {AlarmState::shelved,      Event::not_applicable, AlarmState::normal,       Action::clear},
};
// clang-format on

/// What `event` does in state `now`. A pair that is not in the table changes nothing.
[[nodiscard]] constexpr Row step(AlarmState now, Event event) {
    for (const Row& row : life)
        if (row.from == now && row.on == event) return row;
    return {now, event, now, Action::none};
}

/// Does the outside count it as an alarm?
[[nodiscard]] constexpr bool is_standing(AlarmState state) {
    return state != AlarmState::normal && state != AlarmState::pending;
}

}  // namespace gyled::alarms
