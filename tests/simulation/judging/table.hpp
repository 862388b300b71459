#pragma once
/// The table: a line for each row and target, in Markdown, so that it can be read, kept and compared.

#include <iosfwd>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "tests/simulation/judging/ledger.hpp"

namespace gyled::judging {

struct Line {
    std::string row, figure, target;
    bool met = false;
    std::string seen;  ///< how much was looked at
    /// Of an interval: NaN where there is none.
    double width = std::numeric_limits<double>::quiet_NaN();
    std::string outside{};  ///< shares of truths below the interval and above it
    double score = std::numeric_limits<double>::quiet_NaN();
    std::vector<std::string> beside{};  ///< what other methods come to, a column each
    /// The figure as a number that should be small: an error, a score, a delay, how many are wrong, how far a
    /// share lies outside its bounds.
    double off = std::numeric_limits<double>::quiet_NaN();
};

/// The 90 % interval: met when it holds 85 to 95 %.
[[nodiscard]] Line interval_line(const std::string& row, const std::vector<Answer>& answers);
/// The median error: met when at most `bound`.
[[nodiscard]] Line error_line(const std::string& row, const std::vector<Answer>& answers, double bound,
                              std::string_view unit);
/// Met when it is as it must be in every world.
[[nodiscard]] Line every_line(const std::string& row, const std::vector<Outcome>& outcomes,
                              std::string_view unit);
/// Met when it is otherwise in at most that share of the worlds.
[[nodiscard]] Line hardly_line(const std::string& row, const std::vector<Outcome>& outcomes, double bound);

[[nodiscard]] std::string seen(const std::vector<Answer>& answers);
[[nodiscard]] std::string number(double value);  ///< three digits; empty for a NaN

/// World by world what the rows that begin so come to: where to look.
void print_worlds(const Ledger& ledger, std::string_view rows, std::ostream& out);

/// What was not as it must be: row by row the worlds, each with its seed and the amount that goes with it.
void print_failures(const Ledger& ledger, std::ostream& out);

/// Figures of a table that was printed before, by row and target.
using Earlier = std::map<std::string, std::string>;
[[nodiscard]] Earlier read_table(std::istream& in);

/// `methods`: titles of what stands beside. With a column of what it was before, when there is an earlier
/// table.
void print(const std::vector<Line>& lines, const std::vector<std::string>& methods, const Earlier& earlier,
           std::ostream& out);

}  // namespace gyled::judging
