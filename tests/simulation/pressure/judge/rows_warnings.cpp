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

/// A medium notice asks for a hydrometer before anybody is called: it names the danger and what to do at the
/// valve, so it counts as told, in a row of its own beside that of the ring.
void judge_closing(const Lived& world, Ledger& ledger) {
    constexpr const char* rule = "closed_with_sugar";
    const Tape& tape = world.tape;
    const Deed* shut = tape.deed("shut");
    const auto met = limit_met(tape);
    if (shut == nullptr || !met || *met < shut->at) return;
    told_within(world, ledger, "closed_with_sugar told or asked at the shutting", rule, shut->at - 1h,
                shut->at, 15min);
    const auto rung = world.diary.first_rung(rule, shut->at - 1h, *met);
    const auto minutes = [&](Timestamp from, Timestamp to) { return 60 * base::hours_between(from, to); };
    constexpr double never = std::numeric_limits<double>::infinity();
    ledger.note("closed_with_sugar rings at the shutting, " + tape.script.kind,
                {rung && *rung <= shut->at + 15min, rung ? minutes(shut->at, *rung) : never, name_of(tape)});
    if (*met - shut->at > 1h)
        ledger.note("closed_with_sugar rings an hour before the limit",
                    {rung && *rung <= *met - 1h, rung ? minutes(*rung, *met) : 0, name_of(tape)});
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

/// The worst that a shut vessel could come to once warm, as the truth has it.
double warmest_end(const Tape& tape) {
    double worst = 0;
    for (const Look& look : tape.looks)
        if (told_at(tape, look.truth.at).head_space == HeadSpace::sealed)
            worst = std::max(worst, look.outlook.warm_kpa);
    return worst;
}

/// A vessel that was shut, or held by a spunding valve, and stays within its limit.
void judge_false_of_pressure(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    if (limit_met(tape)) return;
    const auto never_rings = [&](const std::string& row, std::string_view rule) {
        const auto rung = world.diary.first_rung(rule, tape.begin, tape.end);
        ledger.note(row, {!rung, rung ? base::hours_between(tape.begin, *rung) : 0, name_of(tape)});
    };
    never_rings("pressure_rising_to_limit, false", "pressure_rising_to_limit");
    if (tape.script.kind != "healthy closing") return;
    never_rings("closed_with_sugar, false", "closed_with_sugar");
    if (warmest_end(tape) < limit_of(tape.script))
        never_rings("warm_pressure_above_limit, false", "warm_pressure_above_limit");
    const auto asked = world.diary.first_told("closed_with_sugar", tape.begin, tape.end);
    ledger.note("closed_with_sugar asks of a healthy closing",
                {!asked, asked ? base::hours_between(tape.begin, *asked) : 0, name_of(tape)});
}

/// What must not be said of worlds in which nothing is wrong.
void judge_false(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    judge_false_of_pressure(world, ledger);
    if (tape.script.kind != "healthy") return;
    for (const char* name : {"relief_lifting", "vent_blocked", "leak_suspected", "steam_collapse"}) {
        const auto told = world.diary.first_told(name, tape.begin, tape.end);
        ledger.note(std::string{name} + ", false",
                    {!told, told ? base::hours_between(tape.begin, *told) : 0, name_of(tape)});
    }
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
