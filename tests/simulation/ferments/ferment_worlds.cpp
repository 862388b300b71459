/// Prints how forecasts of a fermentation keep their targets, on worlds whose truth is known.
///   gyled-ferment-worlds [--strict] [--against TABLE] [--show ROW] [SEEDS [FAMILY...]]     5 seeds of every
///   world when not given
/// --strict: exit 1 when a target is missed. --against: a table that an earlier build printed, as a further
/// column.

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <set>
#include <stdexcept>

#include "tests/simulation/ferments/judge/lines.hpp"
#include "tests/simulation/ferments/judge/live.hpp"

namespace {

using namespace gyled::ferment_worlds;
using namespace gyled::judging;

struct Options {
    bool strict = false;
    Earlier earlier;
    std::string show;
    int seeds = 5;
    std::set<std::string> worlds;
};

int seeds_from(const std::string& word) {
    int seeds = 0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), seeds);
    if (error != std::errc{} || end != word.data() + word.size() || seeds < 1)
        throw std::runtime_error{"expected a number of seeds, not " + word};
    return seeds;
}

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
        } else if (*word == "--show" && word + 1 != words.end()) {
            options.show = *++word;
        } else {
            throw std::runtime_error{"unknown option " + *word};
        }
    }
    if (word != words.end()) options.seeds = seeds_from(*word++);
    options.worlds = {word, words.end()};
    for (const std::string& name : options.worlds)
        if (std::ranges::find(kinds(), name, &Kind::name) == kinds().end())
            throw std::runtime_error{"there is no family " + name};
    return options;
}

void live_through_loudly(const Kind& kind, int seeds, Ledger& ledger) {
    const auto began = std::chrono::steady_clock::now();
    const int worlds = live_through(kind, seeds, ledger);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
    std::cerr << fmt::format("{}: {} worlds, {:.1f} s\n", kind.name, worlds, took.count());
}

}  // namespace

int main(int argc, char** argv) try {
    const Options options = options_from({argv + 1, argv + argc});
    Ledger ledger;
    for (const Kind& kind : kinds())
        if (options.worlds.empty() || options.worlds.contains(std::string{kind.name}))
            live_through_loudly(kind, options.seeds, ledger);
    const std::vector<Line> lines = lines_of(ledger);
    print(lines, methods, options.earlier, std::cout);
    if (!options.show.empty()) print_worlds(ledger, options.show, std::cout);
    return options.strict && std::ranges::count(lines, false, &Line::met) > 0 ? EXIT_FAILURE : EXIT_SUCCESS;
} catch (const std::exception& problem) {
    std::cerr << "gyled-ferment-worlds: " << problem.what() << '\n';
    return 2;
}
