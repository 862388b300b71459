#include <algorithm>
#include <array>

#include "tests/simulation/pressure/judge/rows.hpp"

namespace gyled::pressure_worlds {
namespace {

using namespace std::chrono_literals;

constexpr double holds_kpa = 5;
constexpr double collapse_kpa = -5;

std::optional<Timestamp> first_when(const Tape& tape, Timestamp from,
                                    const std::function<bool(const Truth&)>& is_so) {
    const auto found =
        std::ranges::find_if(tape.truths, [&](const Truth& t) { return t.at >= from && is_so(t); });
    return found == tape.truths.end() ? std::nullopt : std::optional{found->at};
}

/// Told within so long of its moment. `since`: it may have been told from then on.
void told_within(const Lived& world, Ledger& ledger, const std::string& row, std::string_view name,
                 Timestamp since, Timestamp moment, base::Duration within) {
    if (world.tape.end < moment + within) return;
    const auto told = world.diary.first_told(name, since, world.tape.end);
    const double minutes =
        told ? 60 * base::hours_between(moment, *told) : std::numeric_limits<double>::infinity();
    ledger.note(row, {told && *told <= moment + within, minutes, name_of(world.tape)});
}

void judge_closing(const Lived& world, Ledger& ledger) {
    const Deed* shut = world.tape.deed("shut");
    const auto met = limit_met(world.tape);
    if (shut == nullptr || !met || *met < shut->at) return;
    told_within(world, ledger, "closed_with_sugar at the shutting", "closed_with_sugar", shut->at - 1h,
                shut->at, 15min);
}

void judge_relief(const Lived& world, Ledger& ledger) {
    const auto lifts = first_when(world.tape, world.tape.begin, [](const Truth& t) { return t.relief_open; });
    if (lifts)
        told_within(world, ledger, "relief_lifting in 10 min", "relief_lifting", *lifts, *lifts, 10min);
}

void judge_vent(const Lived& world, Ledger& ledger) {
    const Deed* blocked = world.tape.deed("blocked");
    if (blocked == nullptr) return;
    const auto holds =
        first_when(world.tape, blocked->at, [](const Truth& t) { return t.gauge_kpa > holds_kpa; });
    if (holds)
        told_within(world, ledger, "vent_blocked in 10 min", "vent_blocked", blocked->at, *holds, 10min);
}

void judge_leak(const Lived& world, Ledger& ledger) {
    if (const Deed* leak = world.tape.deed("leak"))
        told_within(world, ledger, "leak_suspected in 24 h", "leak_suspected", leak->at, leak->at, 24h);
}

void judge_collapse(const Lived& world, Ledger& ledger) {
    const Deed* shut = world.tape.deed("shut hot");
    if (shut == nullptr) return;
    const auto low =
        first_when(world.tape, shut->at, [](const Truth& t) { return t.gauge_kpa < collapse_kpa; });
    if (low)
        told_within(world, ledger, "steam_collapse before -5 kPa, " + world.tape.script.variant,
                    "steam_collapse", shut->at, *low, 0min);
}

void judge_silence(const Lived& world, Ledger& ledger) {
    if (const Deed* dies = world.tape.deed("transducer dies"))
        told_within(world, ledger, "sensor_silent without a batch in 15 min", "sensor_silent", dies->at,
                    dies->at, 15min);
}

/// What must not be said of worlds in which nothing is wrong.
void judge_false(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    const auto never = [&](const std::string& row, std::string_view name) {
        const auto told = world.diary.first_told(name, tape.begin, tape.end);
        ledger.note(row, {!told, told ? base::hours_between(tape.begin, *told) : 0, name_of(tape)});
    };
    if (tape.script.kind == "healthy closing") never("closed_with_sugar, false", "closed_with_sugar");
    if (tape.script.kind != "healthy") return;
    for (const char* name : {"relief_lifting", "vent_blocked", "leak_suspected", "steam_collapse"})
        never(std::string{name} + ", false", name);
}

}  // namespace

void judge_warnings(const Lived& world, Ledger& ledger) {
    judge_closing(world, ledger);
    judge_relief(world, ledger);
    judge_vent(world, ledger);
    judge_leak(world, ledger);
    judge_collapse(world, ledger);
    judge_silence(world, ledger);
    judge_false(world, ledger);
}

}  // namespace gyled::pressure_worlds
