#include "tests/simulation/pressure/judge/rows.hpp"

#include <algorithm>

namespace gyled::pressure_worlds {
namespace {
constexpr double point_sg = 0.001;
constexpr double starting_points = 2.5;  // what it takes to fill the beer with gas

/// What has gone wrong by then, of what changes where the gas goes.
std::string trouble_at(const Tape& tape, Timestamp at) {
    const auto lifted = std::ranges::find_if(tape.truths, &Truth::relief_open);
    if (lifted != tape.truths.end() && at >= lifted->at) return "relief has lifted, ";
    for (const char* name : {"leak", "blocked"})
        if (const Deed* deed = tape.deed(name); deed != nullptr && at >= deed->at)
            return std::string{name} + ", ";
    return {};
}
}  // namespace

void judge(const Lived& world, Ledger& ledger) {
    judge_gas(world, ledger);
    judge_outlooks(world, ledger);
    judge_closing_gravity(world, ledger);
    judge_rise(world, ledger);
    judge_warnings(world, ledger);
    judge_gravity(world, ledger);
}

std::string name_of(const Tape& tape) {
    return tape.script.kind + ' ' + std::to_string(tape.script.number);
}

const Told& told_at(const Tape& tape, Timestamp at) {
    const Told* told = &tape.script.first;
    for (const Deed& deed : tape.deeds)
        if (deed.told && deed.at <= at) told = &*deed.told;
    return *told;
}

std::string phase_of(const Tape& tape, const Truth& truth) {
    const Told& told = told_at(tape, truth.at);
    std::string phase = trouble_at(tape, truth.at) + std::string{base::name(told.head_space)};
    phase += ", " + std::string{base::name(told.kind)};
    if (told.kind != StageKind::ferment) return phase;
    if (tape.script.original_gravity - truth.sg < starting_points * point_sg) return phase + ", starting";
    return phase + (truth.sg - truth.terminal_sg > point_sg ? ", active" : ", still");
}

double limit_of(const Script& script) {
    constexpr double none = 1e9;
    return std::min(script.working_kpa.value_or(none), script.relief_kpa.value_or(none));
}

std::optional<Timestamp> limit_met(const Tape& tape) {
    const double limit = limit_of(tape.script);
    const auto met = std::ranges::find_if(
        tape.truths, [&](const Truth& truth) { return truth.relief_open || truth.gauge_kpa >= limit; });
    return met == tape.truths.end() ? std::nullopt : std::optional{met->at};
}

}  // namespace gyled::pressure_worlds
