#include <algorithm>

#include "tests/simulation/pressure/judge/rows.hpp"
#include "tests/simulation/pressure/truth/record.hpp"

namespace gyled::pressure_worlds {
namespace {

using namespace std::chrono_literals;

constexpr double holds_kpa = 5;  // weather and a zero stay below
constexpr base::Duration ahead = 60min;

/// What made it rise: a blocked vent, a shut valve.
const Deed* cause_of(const Tape& tape) {
    for (const char* name : {"blocked", "shut"})
        if (const Deed* deed = tape.deed(name)) return deed;
    return nullptr;
}

Timestamp rise_began(const Tape& tape, const Deed& cause) {
    const auto rising = std::ranges::find_if(
        tape.truths, [&](const Truth& t) { return t.at >= cause.at && t.gauge_kpa > holds_kpa; });
    return rising == tape.truths.end() ? tape.end : rising->at;
}

/// A moment in minutes from `zero`, so that widths and scores can be read.
std::optional<base::Estimate> minutes_from(Timestamp zero, const base::Estimate* moment) {
    if (moment == nullptr) return std::nullopt;
    const auto minutes = [&](double unix_s) { return (unix_s - base::unix_seconds(zero)) / 60; };
    return base::Estimate{minutes(moment->value), minutes(moment->low), minutes(moment->high)};
}

/// The relief valve may lift a little below its mark: when the limit itself would be met, were it not there.
std::optional<Timestamp> limit_met_without_valve(const Tape& tape) {
    Script bare = tape.script;
    bare.relief_kpa.reset();
    bare.longest_h = base::hours_between(tape.begin, tape.end) + 24;
    const Tape other = record(bare);
    const auto met = std::ranges::find_if(
        other.truths, [&](const Truth& t) { return t.gauge_kpa >= limit_of(tape.script); });
    return met == other.truths.end() ? std::nullopt : std::optional{met->at};
}

void judge_moment(const Lived& world, Ledger& ledger, const std::string& of) {
    const auto met = limit_met_without_valve(world.tape);
    if (!met) return;
    const auto when = minutes_from(*met, world.diary.believed(*met - ahead, "limit_time"));
    ledger.look("limit_time an hour ahead" + of, when ? &*when : nullptr,
                {.truth = 0, .world = name_of(world.tape)});
}

/// The first warning, and that it was not taken back while the pressure went on rising.
void judge_warning(const Lived& world, Ledger& ledger, const std::string& of, Timestamp cause, Timestamp met,
                   bool lasts) {
    constexpr const char* rule = "pressure_rising_to_limit";
    const auto warned = world.diary.first_told(rule, cause, met);
    const double minutes = warned ? 60 * base::hours_between(*warned, met) : 0;
    if (lasts)
        ledger.note("first warning an hour ahead" + of,
                    {warned && *warned <= met - ahead, minutes, name_of(world.tape)});
    if (!warned) return;
    const auto over = world.diary.first_returned(rule, *warned);
    const bool too_early = over && *over < met;
    ledger.note("no all-clear before the rise ends" + of,
                {!too_early, too_early ? 60 * base::hours_between(*over, met) : 0, name_of(world.tape)});
}

}  // namespace

void judge_rise(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    const Deed* cause = cause_of(tape);
    const auto met = limit_met(tape);
    if (cause == nullptr || !met || *met < cause->at) return;
    const std::string of = cause->told ? ", shut with sugar" : ", vent blocked";
    const bool lasts = *met - rise_began(tape, *cause) >= ahead;
    if (lasts) judge_moment(world, ledger, of);
    judge_warning(world, ledger, of, cause->at, *met, lasts);
}

}  // namespace gyled::pressure_worlds
