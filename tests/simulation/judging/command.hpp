#pragma once
/// What the programs that print a table have in common: the words on their command line.
///   [--strict] [--against TABLE] [--show ROW] [SEEDS [KIND...]]

#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/simulation/judging/table.hpp"

namespace gyled::judging {

struct Program {
    std::string_view kind_is_called;  ///< "world", "family"
    std::vector<std::string_view> kinds;
    int seeds = 20;  ///< when not given
};

struct Options {
    bool strict = false;  ///< exit 1 when a target is missed
    Earlier earlier{};    ///< a table that an earlier build printed, as a further column
    std::string show{};   ///< rows that begin so, world by world
    int seeds = 0;
    std::set<std::string> kinds{};  ///< empty: all

    [[nodiscard]] bool wants(std::string_view kind) const {
        return kinds.empty() || kinds.contains(std::string{kind});
    }
};

/// Throws std::runtime_error with what a person should read.
[[nodiscard]] Options options_from(const Program& program, const std::vector<std::string>& words);

}  // namespace gyled::judging
