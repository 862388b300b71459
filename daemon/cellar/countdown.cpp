#include "daemon/cellar/countdown.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/base/stage_words.hpp"
#include "daemon/base/text.hpp"

namespace gyled::cellar {
namespace {

using base::Quantity;
using base::StageKind;
using When = batch::StageEnd::When;
using namespace std::chrono_literals;

struct CountdownParameters {
    double told_within_h = 6;  ///< a moment known to less than half a day is told by the clock
};
constexpr CountdownParameters parameters;

struct Waiting {
    const VesselView& view;
    const batch::StagePlan& stage;
    const batch::Record::Entered& entered;
    const display::Display& display;

    [[nodiscard]] std::string name() const {
        const std::string spoken = base::capitalised(base::spoken(stage.kind));
        return stage.kind == StageKind::mash ? spoken + " rest" : spoken;
    }
    [[nodiscard]] std::string celsius(double value) const {
        return display.text(Quantity::beer_temperature, value);
    }
    [[nodiscard]] std::optional<double> beer_c() const {
        const auto found = view.latest.find(Quantity::beer_temperature);
        if (found == view.latest.end() || view.at - found->second.at > found->second.stale_after)
            return std::nullopt;
        return found->second.value;
    }
    /// "10:42" today, with its day when that is another.
    [[nodiscard]] std::string clock(Timestamp at) const {
        std::string full = display.local(at);
        const std::string now = display.local(view.at);
        const auto place = full.find(':');
        if (place == std::string::npos || place < 2) return full;
        const std::string day = full.substr(0, place - 2);
        return now.starts_with(day) ? full.substr(place - 2) : full;
    }
};

/// The next whole minute: nobody is told that nothing is left while something is.
Duration up_to_the_minute(Duration left) {
    return std::chrono::ceil<std::chrono::minutes>(std::max(left, Duration{}));
}

/// The moment at which a temperature is reached, when it is known well enough for a clock.
struct Expected {
    Timestamp at, earliest;
    std::optional<Timestamp> latest;  ///< nothing: nobody can say
};
std::optional<Expected> expected(const VesselView& view) {
    const auto found = view.estimates.find(Quantity::ready_time);
    if (found == view.estimates.end()) return std::nullopt;
    const base::Estimate& e = found->second;
    if (!(e.value - e.low <= 3600 * parameters.told_within_h)) return std::nullopt;
    Expected out{base::from_unix_seconds(e.value), base::from_unix_seconds(e.low), std::nullopt};
    if (e.high - e.value <= 3600 * parameters.told_within_h) out.latest = base::from_unix_seconds(e.high);
    return out;
}

std::string range_words(const Waiting& waiting, const Expected& when) {
    const std::string first = waiting.clock(when.earliest);
    if (!when.latest) return first + " at the earliest";
    const std::string last = waiting.clock(*when.latest);
    return first == last ? std::string{} : fmt::format("{} to {}", first, last);
}

/// What a stage that has reached its temperature makes of the vessel's contents.
std::string ready_words(const Waiting& waiting) {
    const double target_c = waiting.stage.end.temperature_c.value_or(0);
    switch (waiting.stage.kind) {
        case StageKind::strike:
            return "Strike ready";
        case StageKind::chill:
            return "Ready to pitch";
        default:
            return fmt::format("{}: {} at", base::capitalised(base::spoken(waiting.stage.kind)),
                               waiting.celsius(target_c));
    }
}

Countdown done_since(const Waiting& waiting) {
    const Duration since = waiting.view.at - *waiting.entered.end_reached;
    Countdown out{.kind = Countdown::Kind::done};
    out.due = waiting.entered.end_reached;
    out.text = fmt::format("{} done", waiting.name());
    out.detail = fmt::format("since {}, {} ago", waiting.clock(*out.due), display::duration_text(since));
    if (waiting.stage.kind == StageKind::strike) out.text = "Strike ready: dough in";
    if (waiting.view.batch->next_stage)
        out.detail += fmt::format("; next: {}", base::spoken(*waiting.view.batch->next_stage));
    return out;
}

/// The addition that comes next, and in how many minutes of the boil.
std::string addition_words(const Waiting& waiting, Duration left) {
    const auto& all = waiting.stage.additions;
    const auto next = std::find_if(all.begin(), all.end(),
                                   [&](const batch::Addition& one) { return one.before_end < left; });
    if (next == all.end()) return {};
    return fmt::format("; {} in {}", next->what,
                       display::duration_text(up_to_the_minute(left - next->before_end)));
}

/// Minutes in band run; what keeps them from running is said.
Countdown rest(const Waiting& waiting, const batch::StageClock& clock) {
    const Duration left = std::max(*waiting.stage.end.duration - clock.in_band, Duration{});
    const std::string minutes = display::duration_text(up_to_the_minute(left));
    Countdown out{.kind = Countdown::Kind::rest, .left = left};
    if (clock.in_band_seen) {
        out.due = waiting.view.at + left;
        out.text = fmt::format("{}: {} left", waiting.name(), minutes);
        out.detail = "until " + waiting.clock(*out.due) + addition_words(waiting, left);
        return out;
    }
    out.kind = Countdown::Kind::paused;
    const auto beer = waiting.beer_c();
    const auto& band = waiting.stage.temperature_c;
    if (const auto when = expected(waiting.view); when && clock.in_band == Duration{}) {
        out.text = fmt::format("{} begins {}", waiting.name(), waiting.clock(when->at));
        const std::string range = range_words(waiting, *when);
        out.detail = (range.empty() ? "" : range + "; ") + "then " + minutes;
        return out;
    }
    out.text = fmt::format("{}: {} left, and standing still", waiting.name(), minutes);
    if (beer && band)
        out.detail =
            fmt::format("{} is {} its band", waiting.celsius(*beer), *beer < band->low ? "below" : "above");
    else
        out.detail = "no temperature is known";
    return out;
}

std::optional<Countdown> temperature(const Waiting& waiting,
                                     const std::optional<base::Estimate>& levels_off_c) {
    const double target_c = *waiting.stage.end.temperature_c;
    if (const auto when = expected(waiting.view)) {
        Countdown out{.kind = Countdown::Kind::temperature};
        out.due = when->at;
        out.earliest = when->earliest;
        out.latest = when->latest;
        out.text = fmt::format("{} {}", ready_words(waiting), waiting.clock(when->at));
        out.detail = range_words(waiting, *when);
        return out;
    }
    const auto beer = waiting.beer_c();
    if (levels_off_c) {
        const bool cools = beer && *beer > target_c;
        Countdown out{.kind = Countdown::Kind::levels_off};
        out.text = fmt::format("It levels off at {}", waiting.celsius(levels_off_c->value));
        out.detail = fmt::format(
            "{} to {}; {} is wanted. {}", waiting.celsius(levels_off_c->low),
            waiting.celsius(levels_off_c->high), waiting.celsius(target_c),
            cools ? "The coolant cannot do more: colder or more of it" : "The heat cannot do more");
        return out;
    }
    if (!beer || !base::is_brew_day(waiting.stage.kind)) return std::nullopt;
    Countdown out{.kind = Countdown::Kind::temperature};
    out.text = fmt::format("{}: {} of {}", base::capitalised(base::spoken(waiting.stage.kind)),
                           waiting.celsius(*beer), waiting.celsius(target_c));
    out.detail = "how long it takes is not known yet";
    return out;
}

}  // namespace

std::string_view name(Countdown::Kind kind) {
    constexpr std::array<std::string_view, 5> names{"rest", "paused", "temperature", "levels_off", "done"};
    return names.at(static_cast<std::size_t>(kind));
}

std::optional<Countdown> countdown_of(const VesselView& view, const batch::StageClock& clock,
                                      const std::optional<base::Estimate>& levels_off_c,
                                      const display::Display& display) {
    if (!view.batch || view.batch->entered.empty()) return std::nullopt;
    const Waiting waiting{view, view.batch->plan.stages.at(view.batch->stage_index),
                          view.batch->entered.back(), display};
    const batch::StageEnd& end = waiting.stage.end;
    if (end.when != When::time_in_band && end.when != When::temperature_reached) return std::nullopt;
    if (waiting.entered.end_reached) return done_since(waiting);
    if (end.when == When::time_in_band && end.duration) return rest(waiting, clock);
    if (end.when == When::temperature_reached && end.temperature_c) return temperature(waiting, levels_off_c);
    return std::nullopt;
}

}  // namespace gyled::cellar
