#include "tests/simulation/ferments/judge/budgets.hpp"

#include <fmt/format.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace gyled::ferment_worlds {
namespace {

constexpr double growth_allowed = 1.25;  // of errors, scores and delays: a slice has few worlds
constexpr double share_allowed = 0.04;   // a share that goes off by more has become another estimator

bool is_of_facts(const judging::Line& line) {
    return line.row.starts_with("finished, too early") || line.row.starts_with("stalled") ||
           line.row.starts_with("resumed") || line.row.starts_with("started") ||
           line.row.starts_with("overdue");
}

/// What is met and decided by many worlds, or said in words, must stay met.
bool stays_met(const judging::Line& line) {
    return line.met &&
           (line.target.starts_with("holds") || line.row.ends_with("all families") || is_of_facts(line));
}

/// One world says nothing of a share or a median; attenuation is gravity once more.
bool is_worth_a_bound(const judging::Line& line) {
    return std::isfinite(line.off) && !line.seen.ends_with("in 1") && line.seen != "1 worlds" &&
           !line.row.starts_with("apparent_attenuation");
}

double bound_for(const judging::Line& line) {
    if (is_of_facts(line)) return line.off;
    if (line.target.starts_with("holds")) return line.off + share_allowed;
    return line.off * growth_allowed;
}

}  // namespace

std::vector<Budget> earned(const std::vector<judging::Line>& lines) {
    std::vector<Budget> budgets;
    for (const judging::Line& line : lines)
        if (is_worth_a_bound(line))
            budgets.push_back({line.row, line.target, stays_met(line), line.off, bound_for(line)});
    return budgets;
}

std::string line_of(const Budget& budget) {
    return fmt::format("{}\t{}\t{:.4g}\t{}", budget.row, budget.target, budget.measured,
                       budget.must_be_met ? "met" : fmt::format("{:.4g}", budget.bound));
}

std::vector<Budget> read_budgets() {
    const std::string path = std::string{GYLED_SOURCE_DIR} + "/tests/simulation/ferments/budgets.tsv";
    std::ifstream in{path};
    if (!in) throw std::runtime_error{"cannot read " + path};
    std::vector<Budget> budgets;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line.front() == '#') continue;
        std::istringstream fields{line};
        Budget budget;
        std::string measured, bound;
        std::getline(fields, budget.row, '\t');
        std::getline(fields, budget.target, '\t');
        std::getline(fields, measured, '\t');
        std::getline(fields, bound, '\t');
        budget.measured = std::stod(measured);
        budget.must_be_met = bound == "met";
        budget.bound = budget.must_be_met ? budget.measured : std::stod(bound);
        budgets.push_back(std::move(budget));
    }
    return budgets;
}

}  // namespace gyled::ferment_worlds
