#pragma once
/// What was seen of each row of the table, world by world: intervals beside their truth, and whether what had
/// to be said was said. Nothing is pooled but what has the same row.

#include <limits>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/estimate.hpp"

namespace gyled::judging {

/// One answer beside the truth. No estimate: nothing was believed, which holds nothing.
struct Answer {
    std::optional<base::Estimate> estimate{};
    double truth = 0;
    double simple = std::numeric_limits<double>::quiet_NaN();  ///< the simple method's, when it has one
    double of = 1;  ///< what an error is a share of; 1: it is told in the quantity's unit
    std::string world{};
};

/// Was it as it must be? `amount`: minutes, hours or volumes that go with it.
struct Outcome {
    bool as_it_must = false;
    double amount = std::numeric_limits<double>::quiet_NaN();
    std::string world{};
};

using Rows = std::map<std::string, std::vector<Answer>>;

struct Ledger {
    Rows answers;
    std::map<std::string, std::vector<Outcome>> outcomes;
    /// What other methods answer to the same questions, by their names.
    std::map<std::string, Rows> peers{};

    void look(const std::string& row, const base::Estimate* estimate, Answer beside);
    void look_beside(const std::string& method, const std::string& row,
                     const std::optional<base::Estimate>& estimate, Answer beside);
    void note(const std::string& row, Outcome outcome) { outcomes[row].push_back(outcome); }
};

// ---- what rows come to

/// Share of answers whose 90 % interval holds the truth.
[[nodiscard]] double share_held(const std::vector<Answer>& answers);
/// Its standard error, worlds taken as what was drawn: neighbours in time say nearly the same.
[[nodiscard]] double error_of_share(const std::vector<Answer>& answers);
[[nodiscard]] double median_error(
    const std::vector<Answer>& answers);  ///< infinite where nothing was believed
[[nodiscard]] double mean_width(const std::vector<Answer>& answers);
/// The interval score at 90 %, mean over what was believed: width, and 20 times what lies outside. Gneiting &
/// Raftery, J. Am. Stat. Assoc. 102 (2007) 359, eq. 43. Small is good.
[[nodiscard]] double mean_score(const std::vector<Answer>& answers);
/// The same for the simple method's answer, with the +- that in hindsight holds nine in ten of just these: no
/// fairer one could be had. NaN when it has no answer.
[[nodiscard]] double simple_score(const std::vector<Answer>& answers);
/// Shares of what was believed whose truth lies below the interval, and above it.
struct Outside {
    double below = 0, above = 0;
};
[[nodiscard]] Outside outside(const std::vector<Answer>& answers);
/// The median of value less truth, over what was believed.
[[nodiscard]] double median_bias(const std::vector<Answer>& answers);
[[nodiscard]] std::size_t worlds_in(const std::vector<Answer>& answers);
[[nodiscard]] std::map<std::string, std::vector<Answer>> by_world(const std::vector<Answer>& answers);

}  // namespace gyled::judging
