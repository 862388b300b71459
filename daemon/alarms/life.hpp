#pragma once
/// The life of one alarm as a table, after the state diagram of IEC 62682 / ISA-18.2 (with its on-delay,
/// off-delay, acknowledgement and shelving). Only policy lives here: no clock, no text; the panel feeds
/// events and does what the rows say.

#include <cstdint>

#include "daemon/alarms/alarm.hpp"

namespace gyled::alarms {

/// What can befall an alarm.
enum class Event : std::uint8_t {
    breached,      ///< the reading is beyond the limit
    held,          ///< ... and has been for the whole on-delay
    worsened,      ///< ... and has reached a more urgent step than the one that was told
    eased,         ///< within the limit, but not yet by the deadband
    returned,      ///< within the limit by more than the deadband
    settled,       ///< ... and has been for the whole off-delay
    acknowledged,  ///< a person has seen it
    shelved,       ///< a person wants silence until a set time
    unshelved,     ///< that time is over, or the person takes the silence back, and it is still breached
    lapsed,        ///< that time is over and nothing is breached any more
    dropped,       ///< the rule no longer applies: another stage, no batch
};

/// What a step means to the outside.
enum class Action : std::uint8_t {
    none,
    ring,      ///< tell that it stands
    note,      ///< record what the person did; nobody rings
    resume,    ///< back to what it was before it seemed to return: raised, or acknowledged
    say_over,  ///< tell those who heard the beginning
};

struct Row {
    State from;
    Event on;
    State to;
    Action action;
};

// clang-format off
inline constexpr Row life[] = {
    {State::normal,       Event::breached,     State::pending,      Action::none},
    {State::pending,      Event::eased,        State::normal,       Action::none},
    {State::pending,      Event::returned,     State::normal,       Action::none},
    {State::pending,      Event::dropped,      State::normal,       Action::none},
    {State::pending,      Event::held,         State::raised,       Action::ring},

    {State::raised,       Event::worsened,     State::raised,       Action::ring},
    {State::raised,       Event::returned,     State::returning,    Action::none},
    {State::raised,       Event::acknowledged, State::acknowledged, Action::note},
    {State::raised,       Event::shelved,      State::shelved,      Action::note},
    {State::raised,       Event::dropped,      State::normal,       Action::say_over},

    {State::acknowledged, Event::worsened,     State::raised,       Action::ring},
    {State::acknowledged, Event::returned,     State::returning,    Action::none},
    {State::acknowledged, Event::shelved,      State::shelved,      Action::note},
    {State::acknowledged, Event::dropped,      State::normal,       Action::say_over},

    {State::returning,    Event::breached,     State::raised,       Action::resume},
    {State::returning,    Event::settled,      State::normal,       Action::say_over},
    {State::returning,    Event::acknowledged, State::returning,    Action::note},
    {State::returning,    Event::shelved,      State::shelved,      Action::note},
    {State::returning,    Event::dropped,      State::normal,       Action::say_over},

    {State::shelved,      Event::shelved,      State::shelved,      Action::note},
    {State::shelved,      Event::worsened,     State::raised,       Action::ring},
    {State::shelved,      Event::unshelved,    State::raised,       Action::ring},
    {State::shelved,      Event::lapsed,       State::normal,       Action::say_over},
    {State::shelved,      Event::dropped,      State::normal,       Action::say_over},
};
// clang-format on

/// What `event` does in state `now`. A pair that is not in the table changes nothing.
[[nodiscard]] constexpr Row step(State now, Event event) {
    for (const Row& row : life)
        if (row.from == now && row.on == event) return row;
    return {now, event, now, Action::none};
}

/// Does the outside count it as an alarm?
[[nodiscard]] constexpr bool is_standing(State state) {
    return state != State::normal && state != State::pending;
}

}  // namespace gyled::alarms
