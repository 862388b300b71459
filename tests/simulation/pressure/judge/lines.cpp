#include "tests/simulation/pressure/judge/lines.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/alarms/rules.hpp"
#include "tests/simulation/pressure/judge/targets.hpp"

namespace gyled::pressure_worlds {
namespace {

using Kind = Target::Kind;
using judging::Answer, judging::Line, judging::Outcome;

bool is_known(std::string_view rule) {
    return rule.empty() ||
           std::ranges::any_of(alarms::rule_infos(), [&](const auto& info) { return info.name == rule; });
}

Line score_line(const std::string& row, const std::vector<Answer>& answers) {
    Line line;
    const double ours = mean_score(answers), charts = simple_score(answers);
    line.row = row;
    line.figure = fmt::format("{:.3g}", ours);
    line.target = "score below the chart's";
    line.met = ours < charts;
    line.seen = judging::seen(answers);
    line.beside = {judging::number(charts)};
    return line;
}

Line line_of(const std::string& row, const std::vector<Answer>& answers, const Target& target) {
    if (target.kind == Kind::score) return score_line(row, answers);
    if (target.kind == Kind::error) return judging::error_line(row, answers, target.bound, target.unit);
    Line line = judging::interval_line(row, answers);
    line.beside = {judging::number(simple_score(answers))};
    return line;
}

Line line_of(const std::string& row, const std::vector<Outcome>& outcomes, const Target& target) {
    Line line = target.kind == Kind::every ? judging::every_line(row, outcomes, target.unit)
                                           : judging::hardly_line(row, outcomes, target.bound);
    if (is_known(target.rule)) return line;
    line.figure = "no such rule";
    line.met = false;
    return line;
}

}  // namespace

std::vector<Line> lines_of(const judging::Ledger& ledger) {
    std::vector<Line> lines;
    for (const Target& target : targets()) {
        for (const auto& [row, answers] : ledger.answers)
            if (row.starts_with(target.rows)) lines.push_back(line_of(row, answers, target));
        for (const auto& [row, outcomes] : ledger.outcomes)
            if (row.starts_with(target.rows)) lines.push_back(line_of(row, outcomes, target));
    }
    return lines;
}

}  // namespace gyled::pressure_worlds
