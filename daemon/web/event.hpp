#pragma once
/// What an open page is told at once. The page then fetches what it shows: an event says what changed, not to
/// what.

#include <optional>
#include <string>

#include "daemon/alarms/alarm.hpp"

namespace gyled::web {

struct Event {
    enum class Kind {
        vessel,  ///< readings, estimates, stage or facts of `vessel` changed
        alarm,   ///< `transition` happened
    };
    Kind kind = Kind::vessel;
    std::string vessel;
    std::optional<alarms::Transition> transition;

    [[nodiscard]] static Event vessel_changed(std::string id) { return {Kind::vessel, std::move(id), {}}; }
    [[nodiscard]] static Event alarm(alarms::Transition t) {
        std::string vessel = t.vessel;
        return {Kind::alarm, std::move(vessel), std::move(t)};
    }
};

}  // namespace gyled::web
