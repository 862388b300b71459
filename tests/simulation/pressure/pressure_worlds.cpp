/// Prints how the core keeps its targets under pressure, on worlds whose truth is known.
///   gyled-pressure-worlds [--strict] [--against TABLE] [--show ROW] [SEEDS [WORLD...]]     20 seeds of every
///   world when not given
/// --strict: exit 1 when a target is missed. --against: a table that an earlier build printed, as a further
/// column.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <iostream>

#include "tests/simulation/judging/command.hpp"
#include "tests/simulation/pressure/judge/lines.hpp"
#include "tests/simulation/pressure/judge/live.hpp"

namespace {

using namespace gyled::pressure_worlds;
using namespace gyled::judging;

void live_through_loudly(const Kind& kind, int seeds, Ledger& ledger) {
    const auto began = std::chrono::steady_clock::now();
    const int worlds = live_through(kind, seeds, ledger);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
    std::cerr << fmt::format("{}: {} worlds, {:.1f} s\n", kind.name, worlds, took.count());
}

Program program() {
    Program made{.kind_is_called = "world", .kinds = {}};
    for (const Kind& kind : kinds()) made.kinds.push_back(kind.name);
    return made;
}

}  // namespace

int main(int argc, char** argv) try {
    const Options options = options_from(program(), {argv + 1, argv + argc});
    Ledger ledger;
    for (const Kind& kind : kinds())
        if (options.wants(kind.name)) live_through_loudly(kind, options.seeds, ledger);
    const std::vector<Line> lines = lines_of(ledger);
    print(lines, methods, options.earlier, std::cout);
    if (!options.show.empty()) print_worlds(ledger, options.show, std::cout);
    return options.strict && std::ranges::count(lines, false, &Line::met) > 0 ? EXIT_FAILURE : EXIT_SUCCESS;
} catch (const std::exception& problem) {
    std::cerr << "gyled-pressure-worlds: " << problem.what() << '\n';
    return 2;
}
