#include "daemon/web/event.hpp"

#include "daemon/json/views.hpp"

namespace gyled::web {

using json::alarm_json;
using json::Json;
using json::text;

Event Event::vessel_changed(std::string id) {
    return {Kind::vessel, std::move(id), {}};
}

Event Event::watch_changed() {
    return {Kind::watch, {}, {}};
}

Event Event::alarm(alarms::Transition t) {
    std::string vessel = t.vessel;
    return {Kind::alarm, std::move(vessel), std::move(t)};
}

std::string event_text(const Event& event, const display::Display& display) {
    // JSON text holds no raw line break, so one data line is enough.
    if (event.kind == Event::Kind::alarm && event.transition)
        return "event: alarm\ndata: " + text(alarm_json(*event.transition, display)) + "\n\n";
    if (event.kind == Event::Kind::watch) return "event: watch\ndata: {}\n\n";
    return "event: vessel\ndata: " + text(Json{{"id", event.vessel}}) + "\n\n";
}

}  // namespace gyled::web
