#pragma once
/// Notices to send in tests.

#include "daemon/alarms/alarm.hpp"
#include "daemon/annunciation/notice.hpp"

namespace gyled::notify {

inline base::Timestamp at(base::Duration after) {
    return base::from_rfc3339("2026-03-01T18:00:00Z").value() + after;
}

inline annunciation::Notice warm_north() {
    return {.id = "north/temperature_out_of_band/1772388000000/high/1772388000000",
            .thread = "north/temperature_out_of_band/1772388000000",
            .kind = annunciation::Notice::Kind::raised,
            .vessel = "north",
            .rule = "temperature_out_of_band",
            .priority = alarms::Priority::high,
            .title = "North is warm: 21.3 °C",
            .text = "Beer at 21.3 °C, above \"20.5 °C\".\nFirst check that cooling runs.",
            .at = at(base::Duration{}),
            .recipients = {}};
}

inline annunciation::Notice over_north() {
    annunciation::Notice over = warm_north();
    over.id = "north/temperature_out_of_band/1772388000000/returned/1772399000000";
    over.kind = annunciation::Notice::Kind::returned;
    over.title = "North is back at 20.0 °C";
    return over;
}

}  // namespace gyled::notify
