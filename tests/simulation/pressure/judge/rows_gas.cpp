#include <algorithm>

#include "tests/simulation/pressure/judge/chart.hpp"
#include "tests/simulation/pressure/judge/rows.hpp"

namespace gyled::pressure_worlds {
namespace {

using namespace std::chrono_literals;

/// Long enough for the gauge to have told what there is to tell.
constexpr base::Duration shut_in_for = 3h;
constexpr double target_tolerance = 0.1;  // volumes

/// Nothing while hands are at the valves.
std::string gas_phase(const Tape& tape, const Truth& truth) {
    const Deed* shut = tape.deed("gas shut");
    if (shut != nullptr && truth.at >= shut->at) {
        if (truth.at < shut->at + shut_in_for) return {};
        return std::string{"after a shut-in, "} + (shut->told ? "told" : "not told") + ", " +
               tape.script.variant;
    }
    std::string phase = phase_of(tape, truth);
    const bool has_air_to_tell_of = told_at(tape, truth.at).head_space == HeadSpace::supplied;
    return has_air_to_tell_of ? phase + ", " + tape.script.variant : phase;
}

void judge_carbonated(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    const Deed* on = tape.deed("gas on");
    if (!tape.script.target_volumes || on == nullptr) return;
    const double target = *tape.script.target_volumes;
    for (const Said& said : world.diary.facts)
        if (said.what == "carbonated" && !said.revoked && said.at >= on->at) {
            const double over = tape.truth_at(said.at).co2_volumes - target;
            ledger.note("carbonated is so when told, " + tape.script.variant,
                        {over >= -target_tolerance, over, name_of(tape)});
        }
    const auto there = std::ranges::find_if(
        tape.truths, [&](const Truth& t) { return t.at > on->at && t.co2_volumes >= target; });
    if (there == tape.truths.end() || tape.end - there->at < 24h) return;
    const auto told = world.diary.first_told("carbonated", on->at, tape.end);
    const double late_h =
        told ? base::hours_between(there->at, *told) : base::hours_between(there->at, tape.end);
    ledger.note("carbonated told within 24 h, " + tape.script.variant,
                {told && late_h <= 24, late_h, name_of(tape)});
}

}  // namespace

void judge_gas(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    judge_carbonated(world, ledger);
    if (!tape.script.has_batch) return;
    for (const auto& [truth, outlook] : tape.looks) {
        const auto stage = told_at(tape, truth.at).kind;
        if (!base::is_cold_side(stage) || truth.at == tape.begin) continue;
        const std::string phase = gas_phase(tape, truth);
        if (phase.empty()) continue;
        const auto* volumes = world.diary.believed(truth.at, "co2_volumes");
        const double chart = chart_volumes(truth.gauge_kpa + truth.ambient_kpa, truth.beer_c);
        const Answer beside{{}, truth.co2_volumes, chart, 1, name_of(tape)};
        ledger.look("co2_volumes, " + phase, volumes, beside);
        if (told_at(tape, truth.at).kind == StageKind::ferment) continue;
        const auto* air = world.diary.believed(truth.at, "head_space_air");
        constexpr double none = std::numeric_limits<double>::quiet_NaN();
        ledger.look("head_space_air, " + phase, air, {{}, truth.air_percent, none, 1, name_of(tape)});
    }
}

}  // namespace gyled::pressure_worlds
