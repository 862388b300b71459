#include "tests/simulation/pressure/judge/rows.hpp"

namespace gyled::pressure_worlds {
namespace {

using namespace std::chrono_literals;

/// Long enough shut for the gauge to speak.
constexpr base::Duration shut_for = 6h;
constexpr double point_sg = 0.001;

}  // namespace

void judge_gravity(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    const Deed* shut = tape.deed("shut");
    if (tape.script.kind != "no float" || shut == nullptr) return;
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    for (const auto& [truth, outlook] : tape.looks) {
        if (truth.at < shut->at + shut_for) continue;
        const char* phase = truth.sg - truth.terminal_sg > point_sg / 2 ? ", active, " : ", still, ";
        ledger.look("attenuation without a float, shut" + std::string{phase} + tape.script.variant,
                    world.diary.believed(truth.at, "apparent_attenuation"),
                    {{}, truth.attenuation, none, 1, name_of(tape)});
    }
}

}  // namespace gyled::pressure_worlds
