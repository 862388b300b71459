#include "daemon/cellar/sentence.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/base/stage_words.hpp"
#include "daemon/display/range.hpp"

namespace gyled::cellar {
namespace {

using base::Quantity;

bool is_fresh(const VesselView& view, const alarms::Latest& latest) {
    return view.at - latest.at <= latest.stale_after;
}

template <class Map>
auto get(const Map& map, Quantity q) -> const typename Map::mapped_type* {
    const auto found = map.find(q);
    return found == map.end() ? nullptr : &found->second;
}

/// ", 3 h 20 min old" when one of the readings that a belief rests on is no news any more.
std::string staleness(const VesselView& view, std::initializer_list<Quantity> inputs) {
    const alarms::Latest* oldest = nullptr;
    for (const Quantity input : inputs) {
        const auto* reading = get(view.latest, input);
        if (reading && !is_fresh(view, *reading) && (!oldest || reading->at < oldest->at)) oldest = reading;
    }
    return oldest ? fmt::format(", {} old", display::duration_text(view.at - oldest->at)) : std::string{};
}

/// From here on the gas in the beer is what a person waits for.
bool is_about_gas(base::StageKind kind) {
    return base::is_cold_side(kind) && kind >= base::StageKind::carbonate;
}

std::string what_is_in_there(const VesselView& view, const display::Display& display) {
    std::string text;
    if (view.batch) {
        const auto day = std::chrono::floor<std::chrono::days>(view.at - view.batch->started).count() + 1;
        text = fmt::format("{}, {}, day {}", view.batch->name,
                           base::spoken(view.batch->plan.stages.at(view.batch->stage_index).kind), day);
    } else {
        text = "No batch";
    }
    std::vector<std::string> parts;
    const auto* gravity = get(view.estimates, Quantity::gravity_now);
    if (gravity) {
        std::string part = display.text(Quantity::gravity_now, gravity->value);
        const auto* attenuation = get(view.estimates, Quantity::apparent_attenuation);
        if (attenuation && view.batch &&
            base::is_cold_side(view.batch->plan.stages.at(view.batch->stage_index).kind))
            part += fmt::format(" ({:.0f} % attenuated)", attenuation->value);
        parts.push_back(part + staleness(view, {Quantity::gravity}));
    }
    if (const auto* co2 = get(view.estimates, Quantity::co2_volumes);
        co2 && view.batch && is_about_gas(view.batch->plan.stages.at(view.batch->stage_index).kind))
        parts.push_back(display.text(Quantity::co2_volumes, co2->value) + " of CO2" +
                        staleness(view, {Quantity::beer_temperature, Quantity::head_pressure}));
    const auto* beer = get(view.latest, Quantity::beer_temperature);
    if (beer && is_fresh(view, *beer)) parts.push_back(display.text(Quantity::beer_temperature, beer->value));
    for (std::size_t i = 0; i < parts.size(); ++i) text += (i == 0 ? ": " : ", ") + parts[i];
    return text + ".";
}

std::string what_is_next(const VesselView& view, const display::Display& display) {
    const auto about = [&](const char* what, Quantity q) -> std::string {
        const auto* when = get(view.estimates, q);
        if (!when) return {};
        const double half_h = std::max(when->high - when->value, when->value - when->low) / 3600;
        if (!(half_h <= display::told_as_range_h))
            return fmt::format(" {} {}.", what, display::range_text(display, when->low, when->high, view.at));
        const auto moment = base::from_unix_seconds(when->value);
        std::string text = fmt::format(" {} about {}", what, display.local(moment));
        text += half_h >= 1 ? fmt::format(" (± {:.0f} h)", half_h)
                            : fmt::format(" (± {:.0f} min)", std::max(1.0, half_h * 60));
        return text + ".";
    };
    if (view.countdown) {
        const Countdown& left = *view.countdown;
        return fmt::format(" {}{}.", left.text, left.detail.empty() ? "" : ", " + left.detail);
    }
    if (auto text = about("Temperature reached", Quantity::ready_time); !text.empty()) return text;
    if (auto text = about("Finished", Quantity::finish_time); !text.empty()) return text;
    if (auto text = about("Carbonated", Quantity::carbonated_time); !text.empty()) return text;
    if (view.batch) {
        const auto finished =
            std::any_of(view.batch->facts.begin(), view.batch->facts.end(), [](const auto& fact) {
                return fact.kind == estimation::FactKind::fermentation_finished && !fact.revoked;
            });
        std::string text = finished ? " Fermentation finished." : "";
        if (view.batch->next_stage) text += fmt::format(" Next: {}.", base::spoken(*view.batch->next_stage));
        return text;
    }
    return {};
}

/// What a person could do for a better answer.
std::string what_is_asked(const VesselView& view) {
    if (!view.batch) return {};
    const auto& facts = view.batch->facts;
    const auto asked = std::find_if(facts.rbegin(), facts.rend(), [](const auto& fact) {
        return fact.kind == estimation::FactKind::shut_in_wanted && !fact.revoked;
    });
    return asked == facts.rend() ? std::string{} : " " + asked->evidence;
}

/// Nobody asks an open kettle for its pressure.
bool is_open_kettle(const VesselView& view) {
    if (!view.batch) return false;
    const batch::StagePlan& stage = view.batch->plan.stages.at(view.batch->stage_index);
    return base::is_brew_day(stage.kind) && stage.head_space == base::HeadSpace::vented;
}

std::string is_it_safe(const VesselView& view, const display::Display& display) {
    std::string text;
    const auto* head = get(view.latest, Quantity::head_pressure);
    if (!head) return is_open_kettle(view) ? "" : " Head pressure unknown.";
    if (!is_fresh(view, *head))
        return fmt::format(" Head pressure unknown for {}.", display::duration_text(view.at - head->at));
    text = fmt::format(" Head pressure {}", display.text(Quantity::head_pressure, head->value));
    if (const auto* room = get(view.estimates, Quantity::pressure_headroom))
        text +=
            fmt::format(", {} {} the limit", display.text(Quantity::pressure_headroom, std::abs(room->value)),
                        room->value >= 0 ? "below" : "ABOVE");
    text += ".";
    if (const auto* limit = get(view.estimates, Quantity::limit_time))
        text += fmt::format(" At this rate the limit is reached {}.",
                            display.local(base::from_unix_seconds(limit->value)));
    return text;
}

}  // namespace

std::string end_text(const batch::StageEnd& end, const display::Display& display) {
    using When = batch::StageEnd::When;
    switch (end.when) {
        case When::by_hand:
            return "by hand";
        case When::temperature_reached:
            return display.text(Quantity::beer_temperature, end.temperature_c.value_or(0)) + " reached";
        case When::time_in_band:
            return display::duration_text(end.duration.value_or(Duration{})) + " in the band";
        case When::terminal_gravity:
            return "terminal gravity reached";
        case When::carbonated:
            return "carbonated";
    }
    return {};
}

std::string sentence(const VesselView& view, const display::Display& display) {
    std::string text = what_is_in_there(view, display) + what_is_next(view, display) +
                       is_it_safe(view, display) + what_is_asked(view);
    if (view.tightness) text += " " + alarms::tightness_text(*view.tightness, display);
    if (!view.alarms.empty())
        text += fmt::format(" {} alarm{} standing.", view.alarms.size(), view.alarms.size() == 1 ? "" : "s");
    return text;
}

}  // namespace gyled::cellar
