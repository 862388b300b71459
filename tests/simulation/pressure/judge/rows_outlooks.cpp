#include <algorithm>
#include <cmath>

#include "tests/simulation/pressure/judge/chart.hpp"
#include "tests/simulation/pressure/judge/rows.hpp"

namespace gyled::pressure_worlds {
namespace {

/// Below it an error is a share of this instead: nobody is hurt by 2 kPa.
constexpr double least_kpa = 30;

/// The chart's: what is dissolved by the present pressure, at another temperature; it knows of no sugar.
double chart_gauge_kpa(const Truth& truth, double celsius) {
    const double volumes = chart_volumes(truth.gauge_kpa + truth.ambient_kpa, truth.beer_c);
    return chart_kpa(volumes, celsius) - truth.ambient_kpa;
}

}  // namespace

void judge_outlooks(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    if (!tape.script.has_batch) return;
    const auto look = [&](const char* quantity, const Truth& truth, double kpa, double chart, double of) {
        ledger.look(std::string{quantity} + ", " + phase_of(tape, truth),
                    world.diary.believed(truth.at, quantity), {{}, kpa, chart, of, name_of(tape)});
    };
    for (const auto& [truth, outlook] : tape.looks) {
        if (!base::is_cold_side(told_at(tape, truth.at).kind) || truth.at == tape.begin) continue;
        look("closed_pressure", truth, outlook.closed_kpa, truth.gauge_kpa,
             std::max(least_kpa, outlook.closed_kpa));
        look("warm_pressure", truth, outlook.warm_kpa, chart_gauge_kpa(truth, warmest_c),
             std::max(least_kpa, outlook.warm_kpa));
        look("crash_pressure", truth, outlook.crash_kpa, chart_gauge_kpa(truth, coldest_c),
             outlook.crash_kpa + truth.ambient_kpa);
    }
}

}  // namespace gyled::pressure_worlds
