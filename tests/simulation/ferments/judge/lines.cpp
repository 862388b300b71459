#include "tests/simulation/ferments/judge/lines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "tests/simulation/ferments/judge/targets.hpp"

namespace gyled::ferment_worlds {
namespace {

using Kind = Target::Kind;
using judging::Answer, judging::Line, judging::Outcome;
using Answers = std::vector<Answer>;

const Answers* others(const Ledger& ledger, const std::string& method, const std::string& row) {
    const auto rows = ledger.peers.find(method);
    if (rows == ledger.peers.end()) return nullptr;
    const auto found = rows->second.find(row);
    return found == rows->second.end() ? nullptr : &found->second;
}

/// A column for each method: empty where it was not asked.
template <typename Figure>
std::vector<std::string> beside(const Ledger& ledger, const std::string& row, const Figure& figure) {
    std::vector<std::string> columns;
    for (const std::string& method : methods) {
        const Answers* theirs = others(ledger, method, row);
        columns.push_back(theirs == nullptr ? "" : figure(*theirs));
    }
    return columns;
}

/// What chance alone does to a share of 90 % among so many worlds.
double error_of_chance(const Answers& answers) {
    return std::sqrt(0.9 * 0.1 / static_cast<double>(worlds_in(answers)));
}

Line interval(const Ledger& ledger, const std::string& row, const Answers& answers) {
    Line line = judging::interval_line(row, answers);
    const double share = share_held(answers);
    const double error = std::max(error_of_share(answers), error_of_chance(answers));
    line.met = share + error >= 0.85 && share - error <= 0.95;
    line.target = "holds 85 to 95 %, give or take its error";
    line.beside = beside(ledger, row, [](const Answers& theirs) {
        return mean_width(theirs) > 0 ? fmt::format("{:.0f} %", 100 * share_held(theirs)) : "";
    });
    return line;
}

Line error(const Ledger& ledger, const std::string& row, const Answers& answers, const Target& target) {
    Line line = judging::error_line(row, answers, target.bound, target.unit);
    if (std::isinf(target.bound))
        line.target = "";
    else
        line.target += ", and ";
    line.target += "less than the others";
    for (const std::string& method : methods)
        if (const Answers* theirs = others(ledger, method, row))
            line.met = line.met && median_error(answers) <= median_error(*theirs);
    line.beside = beside(ledger, row,
                         [](const Answers& theirs) { return fmt::format("{:.3g}", median_error(theirs)); });
    return line;
}

Line bias(const std::string& row, const Answers& answers, const Target& target) {
    Line line;
    line.row = row;
    line.figure = fmt::format("{:+.3g}", median_bias(answers));
    line.target = fmt::format("within {:g} {} of none", target.bound, target.unit);
    line.off = std::abs(median_bias(answers));
    line.met = line.off <= target.bound;
    line.seen = judging::seen(answers);
    return line;
}

Line score(const Ledger& ledger, const std::string& row, const Answers& answers) {
    Line line;
    const Answers* fit = others(ledger, fit_method, row);
    const double ours = mean_score(answers), theirs = fit == nullptr ? NAN : mean_score(*fit);
    line.row = row;
    line.figure = fmt::format("{:.3g}", ours);
    line.target = "score below the five-parameter fit's";
    line.off = ours;
    line.met = ours < theirs;
    line.seen = judging::seen(answers);
    line.beside = {judging::number(theirs)};
    return line;
}

Line line_of(const Ledger& ledger, const std::string& row, const Answers& answers, const Target& target) {
    if (target.kind == Kind::interval) return interval(ledger, row, answers);
    if (target.kind == Kind::error) return error(ledger, row, answers, target);
    return target.kind == Kind::bias ? bias(row, answers, target) : score(ledger, row, answers);
}

/// Delays as they are spread.
Line soon(const std::string& row, const std::vector<Outcome>& outcomes, const Target& target) {
    std::vector<double> delays;
    for (const Outcome& outcome : outcomes) delays.push_back(outcome.amount);
    std::ranges::sort(delays);
    const auto at = [&](double share) {
        return delays[static_cast<std::size_t>(std::ceil(share * static_cast<double>(delays.size() - 1)))];
    };
    const auto in_time = std::ranges::count(outcomes, true, &Outcome::as_it_must);
    Line line;
    line.row = row;
    line.figure = fmt::format("{} of {}, median {:.3g} {unit}, 95 % {:.3g} {unit}", in_time, outcomes.size(),
                              at(0.5), at(0.95), fmt::arg("unit", target.unit));
    line.target = fmt::format("median {:g} {}, 95 % in time, every one told", target.bound, target.unit);
    line.off = at(0.5);
    line.met = at(0.5) <= target.bound && std::isfinite(delays.back()) &&
               static_cast<double>(in_time) >= 0.95 * static_cast<double>(outcomes.size());
    line.seen = fmt::format("{} worlds", outcomes.size());
    return line;
}

Line line_of(const std::string& row, const std::vector<Outcome>& outcomes, const Target& target) {
    if (target.kind == Kind::soon) return soon(row, outcomes, target);
    return target.kind == Kind::every ? judging::every_line(row, outcomes, target.unit)
                                      : judging::hardly_line(row, outcomes, target.bound);
}

}  // namespace

std::vector<Line> lines_of(const Ledger& ledger) {
    std::vector<Line> lines;
    std::set<std::pair<std::string, Kind>> had;  // a narrower target comes first
    for (const Target& target : targets()) {
        for (const auto& [row, answers] : ledger.answers)
            if (row.starts_with(target.rows) && had.emplace(row, target.kind).second)
                lines.push_back(line_of(ledger, row, answers, target));
        for (const auto& [row, outcomes] : ledger.outcomes)
            if (row.starts_with(target.rows)) lines.push_back(line_of(row, outcomes, target));
    }
    return lines;
}

}  // namespace gyled::ferment_worlds
