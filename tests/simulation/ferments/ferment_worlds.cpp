/// Prints how forecasts of a fermentation keep their targets, on worlds whose truth is known.
///   gyled-ferment-worlds [--strict] [--against TABLE] [--show ROW] [SEEDS [FAMILY...]]    5 seeds of each
///   family when not given gyled-ferment-worlds --budgets                                  lines for
///   tests/simulation/ferments/budgets.tsv
/// --strict: exit 1 when a target is missed. --against: a table that an earlier build printed, as a further
/// column. Under the table stands what was not as it must be, world by world: a family and its seed.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <iostream>

#include "tests/simulation/ferments/judge/budgets.hpp"
#include "tests/simulation/ferments/judge/lines.hpp"
#include "tests/simulation/ferments/judge/live.hpp"
#include "tests/simulation/judging/command.hpp"

namespace {

using namespace gyled::ferment_worlds;
using namespace gyled::judging;

void live_through_loudly(const Kind& kind, int seeds, Ledger& ledger) {
    const auto began = std::chrono::steady_clock::now();
    const int worlds = live_through(kind, seeds, ledger);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
    std::cerr << fmt::format("{}: {} worlds, {:.1f} s\n", kind.name, worlds, took.count());
}

Ledger live_through_all(const Options& options) {
    Ledger ledger;
    for (const Kind& kind : kinds())
        if (options.wants(kind.name)) live_through_loudly(kind, options.seeds, ledger);
    return ledger;
}

int print_budgets() {
    std::cout << "# row\ttarget\tmeasured\tbound; written by gyled-ferment-worlds --budgets, see "
                 "judge/budgets.hpp\n";
    for (const Budget& budget : earned(lines_of(live_through_all({.seeds = slice_seeds}))))
        std::cout << line_of(budget) << '\n';
    return EXIT_SUCCESS;
}

Program program() {
    Program made{.kind_is_called = "family", .kinds = {}, .seeds = 5};
    for (const Kind& kind : kinds()) made.kinds.push_back(kind.name);
    return made;
}

}  // namespace

int main(int argc, char** argv) try {
    const std::vector<std::string> words{argv + 1, argv + argc};
    if (words == std::vector<std::string>{"--budgets"}) return print_budgets();
    const Options options = options_from(program(), words);
    const Ledger ledger = live_through_all(options);
    const std::vector<Line> lines = lines_of(ledger);
    std::cout << fmt::format("Seeds 1 to {}, times what each family asks for.\n\n", options.seeds);
    print(lines, methods, options.earlier, std::cout);
    std::cout << "\nNot as it must be:\n";
    print_failures(ledger, std::cout);
    if (!options.show.empty()) print_worlds(ledger, options.show, std::cout);
    return options.strict && std::ranges::count(lines, false, &Line::met) > 0 ? EXIT_FAILURE : EXIT_SUCCESS;
} catch (const std::exception& problem) {
    std::cerr << "gyled-ferment-worlds: " << problem.what() << '\n';
    return 2;
}
