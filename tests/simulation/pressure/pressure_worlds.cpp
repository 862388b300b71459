/// Prints how the core keeps its targets under pressure, on worlds whose truth is known.
///   gyled-pressure-worlds [--strict] [--against TABLE] [SEEDS [WORLD...]]     20 seeds of every world when
///   not given
/// --strict: exit 1 when a target is missed. --against: a table that an earlier build printed, as a further
/// column.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <set>
#include <stdexcept>

#include "tests/simulation/pressure/judge/rows.hpp"
#include "tests/simulation/pressure/judge/table.hpp"
#include "tests/simulation/pressure/truth/record.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

namespace {

using namespace gyled::pressure_worlds;

struct Options {
    bool strict = false;
    Earlier earlier;
    int seeds = 20;
    std::set<std::string> worlds;
};

/// Throws what a person should read.
Options options_from(std::vector<std::string> words) {
    Options options;
    auto word = words.begin();
    for (; word != words.end() && word->starts_with("--"); ++word) {
        if (*word == "--strict") {
            options.strict = true;
        } else if (*word == "--against" && word + 1 != words.end()) {
            std::ifstream in{*++word};
            if (!in) throw std::runtime_error{"cannot read " + *word};
            options.earlier = read_table(in);
        } else {
            throw std::runtime_error{"unknown option " + *word};
        }
    }
    if (word != words.end()) options.seeds = std::atoi(word++->c_str());
    if (options.seeds < 1) throw std::runtime_error{"expected a number of seeds"};
    options.worlds = {word, words.end()};
    for (const std::string& name : options.worlds)
        if (std::ranges::find(kinds(), name, &Kind::name) == kinds().end())
            throw std::runtime_error{"there is no world " + name};
    return options;
}

void live_through(const Kind& kind, int seeds, Ledger& ledger) {
    const auto began = std::chrono::steady_clock::now();
    const int count = static_cast<int>(std::ceil(seeds * kind.per_seed));
    for (int seed = 1; seed <= count; ++seed) {
        const Tape tape = record(kind.make(static_cast<std::uint64_t>(seed)));
        const Diary diary = watch(tape);
        judge({tape, diary}, ledger);
    }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
    std::cerr << fmt::format("{}: {} worlds, {:.1f} s\n", kind.name, count, took.count());
}

}  // namespace

int main(int argc, char** argv) try {
    const Options options = options_from({argv + 1, argv + argc});
    Ledger ledger;
    for (const Kind& kind : kinds())
        if (options.worlds.empty() || options.worlds.contains(std::string{kind.name}))
            live_through(kind, options.seeds, ledger);
    const std::vector<Line> lines = lines_of(ledger);
    print(lines, options.earlier, std::cout);
    return options.strict && std::ranges::count(lines, false, &Line::met) > 0 ? EXIT_FAILURE : EXIT_SUCCESS;
} catch (const std::exception& problem) {
    std::cerr << "gyled-pressure-worlds: " << problem.what() << '\n';
    return 2;
}
