#pragma once
/// The table: a line for each row and target, in Markdown, so that it can be read, kept and compared.

#include <iosfwd>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "tests/simulation/pressure/judge/ledger.hpp"

namespace gyled::pressure_worlds {

struct Line {
    std::string row, figure, target;
    bool met = false;
    std::string seen;  ///< how much was looked at
    /// Of an interval: NaN where there is none. The chart's score has the +- that fits it best.
    double width = std::numeric_limits<double>::quiet_NaN();
    std::string outside{};  ///< shares of truths below the interval and above it
    double score = std::numeric_limits<double>::quiet_NaN();
    double chart = std::numeric_limits<double>::quiet_NaN();
};

[[nodiscard]] std::vector<Line> lines_of(const Ledger& ledger);

/// World by world what the rows that begin so come to: where to look.
void print_worlds(const Ledger& ledger, std::string_view rows, std::ostream& out);

/// Figures of a table that was printed before, by row and target.
using Earlier = std::map<std::string, std::string>;
[[nodiscard]] Earlier read_table(std::istream& in);

/// With a column of what it was before, when there is an earlier table.
void print(const std::vector<Line>& lines, const Earlier& earlier, std::ostream& out);

}  // namespace gyled::pressure_worlds
