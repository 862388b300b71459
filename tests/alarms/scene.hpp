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
#include "daemon/annunciation/annunciator.hpp"

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
    now.pressure_trend_known = true;
    for (const auto& [id, quantity] : {std::pair{"north-temperature", Quantity::beer_temperature},
                                       std::pair{"north-gravity", Quantity::gravity},
                                       std::pair{"north-pressure", Quantity::head_pressure}})
        now.sensors.push_back({.sensor = id,
                               .quantity = quantity,
                               .last_at = now.at,
                               .watched_since = at(-72h),
                               .silent_after = 45min});
    now.latest[Quantity::beer_temperature] = {19.5, now.at, 45min};
    now.latest[Quantity::gravity] = {1.020, now.at, 45min};
    now.latest[Quantity::head_pressure] = {2, now.at, 45min};
    return now;
}

inline Situation with(Situation now, Quantity quantity, double value) {
    now.latest[quantity] = {value, now.at, 45min};
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

/// The temperature band's delay as a person may ask for it, in every stage.
inline std::vector<RuleTuning> band_after(Duration delay) {
    RuleTuning tuning;
    tuning.rule = "temperature_out_of_band";
    tuning.on_delay = delay;
    return {tuning};
}

/// The panel under test and the annunciator behind it, as the core drives them, with a memory of all that
/// came out: "temperature_out_of_band raised", in order.
class Watcher {
public:
    explicit Watcher(std::vector<RuleTuning> tunings = {}, display::Display display = lisbon(),
                     std::string vessel = "north")
        : panel{std::move(vessel), tunings, display},
          annunciator{{{.name = "phone", .at_least = Priority::low}},
                      {},
                      {.site = "Harbour cellar", .display = std::move(display)}} {}

    /// The steps that this evaluation took; "silently" when they were recorded only.
    std::vector<std::string> sees(const Situation& now) {
        std::vector<Transition> steps = panel.evaluate(now);
        for (const auto& notice : annunciator.annunciate(steps, panel.standing(), now.at))
            phone.push_back(notice);
        std::vector<std::string> said;
        for (Transition& step : steps) {
            if (is_information(step.rule) && step.state == AlarmState::normal && step.at == step.raised_at) {
                closed_at_once.push_back(step.rule);
                continue;
            }
            std::string line = step.rule;
            if (!step.subject.empty()) line += "/" + step.subject;
            line += " " + std::string(name(step.state));
            if (!step.annunciated) line += " silently";
            said.push_back(line);
            log.push_back(std::move(step));
        }
        return said;
    }

    /// Stops here and starts anew from what is kept.
    void restart_as(Watcher& after) const {
        after.panel.restore(panel.state());
        after.annunciator.restore(annunciator.log());
    }

    AlarmPanel panel;
    annunciation::Annunciator annunciator;
    std::vector<Transition> log;
    std::vector<std::string> closed_at_once;  ///< information
    std::vector<annunciation::Notice> phone;
};

using Said = std::vector<std::string>;

}  // namespace gyled::alarms
