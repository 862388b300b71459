#pragma once
/// What an open page is told at once. The page then fetches what it shows: an event says what changed, not to
/// what.

#include <optional>
#include <string>

#include "daemon/alarms/alarm.hpp"
#include "daemon/display/display.hpp"

namespace gyled::web {

struct Event {
    enum class Kind {
        vessel,  ///< readings, estimates, stage or facts of `vessel` changed
        alarm,   ///< `transition` happened
        watch,   ///< what of the watch itself does not work has changed
    };
    Kind kind = Kind::vessel;
    std::string vessel;
    std::optional<alarms::Transition> transition;

    [[nodiscard]] static Event vessel_changed(std::string id);
    [[nodiscard]] static Event watch_changed();
    [[nodiscard]] static Event alarm(alarms::Transition t);
};

/// As it travels: one message of an event stream (WHATWG HTML, server-sent events), "vessel",
/// "alarm" or "watch".
[[nodiscard]] std::string event_text(const Event& event, const display::Display& display);

}  // namespace gyled::web
