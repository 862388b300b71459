#pragma once
/// A small cellar to judge: the vessel "north" in Lisbon with "Harbour Mild" in it, and a hand to turn its
/// knobs.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "daemon/alarms/life.hpp"
#include "daemon/alarms/panel.hpp"
#include "daemon/alarms/rules.hpp"

namespace gyled::alarms {

using base::Estimate;
using base::HeadSpace;
using base::Quantity;
using base::StageKind;
using namespace std::chrono_literals;

inline constexpr double nan = std::numeric_limits<double>::quiet_NaN();
inline constexpr double infinity = std::numeric_limits<double>::infinity();

/// Minutes after the stage began, Sunday 1 March 2026 18:00 in Lisbon. Long enough after pitching for every
/// grace.
inline Timestamp at(Duration after) {
    return base::from_rfc3339("2026-03-01T18:00:00Z").value() + after;
}

inline display::Display lisbon() {
    display::Display display = display::Display::metric();
    display.time_zone = "Europe/Lisbon";
    return display;
}

/// A healthy fermentation at `at(moment)`.
inline Situation fermenting(Duration moment) {
    Situation now;
    now.at = at(moment);
    now.vessel = "north";
    now.vessel_name = "North";
    now.batch_name = "Harbour Mild";
    now.stage = StageKind::ferment;
    now.stage_since = at(-72h);
    now.temperature_band_c = base::Band{18.0, 20.5};
    now.pressure_limit_kpa = 180;
    now.vacuum_limit_kpa = -5;
    for (const auto& [id, quantity] : {std::pair{"north-temperature", Quantity::beer_temperature},
                                       std::pair{"north-gravity", Quantity::gravity},
                                       std::pair{"north-pressure", Quantity::head_pressure}})
        now.sensors.push_back({.sensor = id,
                               .measures = quantity,
                               .last_at = now.at,
                               .watched_since = at(-72h),
                               .silent_after = 45min});
    now.latest[Quantity::beer_temperature] = {19.5, now.at};
    now.latest[Quantity::gravity] = {1.020, now.at};
    now.latest[Quantity::head_pressure] = {2, now.at};
    return now;
}

inline Situation with(Situation now, Quantity quantity, double value) {
    now.latest[quantity] = {value, now.at};
    return now;
}
inline Situation beer_at(double celsius, Duration moment) {
    return with(fermenting(moment), Quantity::beer_temperature, celsius);
}
/// Sealed, so that nothing lets the pressure go.
inline Situation head_at(double kpa, Duration moment) {
    Situation now = with(fermenting(moment), Quantity::head_pressure, kpa);
    now.head_space = HeadSpace::sealed;
    return now;
}
inline Situation believing(Situation now, Quantity quantity, double value) {
    now.estimates[quantity] = {value, value, value};
    return now;
}

/// The panel under test, with a memory of all that it said: "temperature_out_of_band raised", in order.
class Watcher {
public:
    explicit Watcher(std::vector<RuleTuning> tunings = {}, display::Display display = lisbon(),
                     std::string vessel = "north")
        : panel{std::move(vessel), std::move(tunings), std::move(display)} {}

    /// What this judgement said.
    std::vector<std::string> sees(const Situation& now, Audience audience = Audience::everyone) {
        std::vector<std::string> said;
        for (Transition& transition : panel.judge(now, audience)) {
            std::string line = transition.rule;
            if (!transition.subject.empty()) line += "/" + transition.subject;
            line += " " + std::string(name(transition.state));
            if (!transition.rings) line += " silently";
            said.push_back(line);
            if (const auto notice = annunciation::notice_for(transition)) phone.push_back(*notice);
            log.push_back(std::move(transition));
        }
        return said;
    }

    AlarmPanel panel;
    std::vector<Transition> log;
    std::vector<annunciation::Notice> phone;
};

using Said = std::vector<std::string>;

}  // namespace gyled::alarms
