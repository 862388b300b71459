#include "tests/simulation/judging/command.hpp"

#include <algorithm>
#include <charconv>
#include <fstream>
#include <stdexcept>

namespace gyled::judging {
namespace {

int seeds_from(const std::string& word) {
    int seeds = 0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), seeds);
    if (error != std::errc{} || end != word.data() + word.size() || seeds < 1)
        throw std::runtime_error{"expected a number of seeds, not " + word};
    return seeds;
}

}  // namespace

Options options_from(const Program& program, const std::vector<std::string>& words) {
    Options options;
    options.seeds = program.seeds;
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
    options.kinds = {word, words.end()};
    for (const std::string& name : options.kinds)
        if (std::ranges::find(program.kinds, name) == program.kinds.end())
            throw std::runtime_error{"there is no " + std::string{program.kind_is_called} + ' ' + name};
    return options;
}

}  // namespace gyled::judging
