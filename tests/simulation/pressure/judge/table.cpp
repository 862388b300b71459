#include "tests/simulation/pressure/judge/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <istream>
#include <ostream>
#include <sstream>

#include "daemon/alarms/rules.hpp"
#include "tests/simulation/pressure/judge/targets.hpp"

namespace gyled::pressure_worlds {
namespace {

using Kind = Target::Kind;

bool is_known(std::string_view rule) {
    return rule.empty() ||
           std::ranges::any_of(alarms::rule_infos(), [&](const auto& info) { return info.name == rule; });
}

std::size_t unanswered(const std::vector<Answer>& answers) {
    return static_cast<std::size_t>(
        std::ranges::count_if(answers, [](const Answer& a) { return !a.estimate; }));
}

std::string seen(const std::vector<Answer>& answers) {
    const auto none = unanswered(answers);
    return fmt::format("{} in {}", answers.size(), worlds_in(answers)) +
           (none > 0 ? fmt::format(", {} unknown", none) : "");
}

Line interval_line(const std::string& row, const std::vector<Answer>& answers) {
    Line line;
    const double share = share_held(answers);
    line.row = row;
    line.figure = unanswered(answers) == answers.size()
                      ? "not known"
                      : fmt::format("{:.0f} +-{:.0f} %", 100 * share, 100 * error_of_share(answers));
    line.target = "holds 85 to 95 %";
    line.met = share >= held_least && share <= held_most;
    line.seen = seen(answers);
    if (unanswered(answers) < answers.size()) {
        const auto [below, above] = outside(answers);
        line.outside = fmt::format("{:.0f} / {:.0f} %", 100 * below, 100 * above);
    }
    line.width = mean_width(answers);
    line.score = mean_score(answers);
    line.chart = chart_score(answers);
    return line;
}

Line error_line(const std::string& row, const std::vector<Answer>& answers, const Target& target) {
    Line line;
    const double error = median_error(answers);
    line.row = row;
    line.figure = std::isinf(error) ? "not known" : fmt::format("{:.3f}", error);
    line.target = fmt::format("off by {:g} {}", target.bound, target.unit);
    line.met = error <= target.bound;
    line.seen = seen(answers);
    line.outside = fmt::format("{:+.3g} median", median_bias(answers));
    return line;
}

Line score_line(const std::string& row, const std::vector<Answer>& answers) {
    Line line;
    const double ours = mean_score(answers), charts = chart_score(answers);
    line.row = row;
    line.figure = fmt::format("{:.3g}", ours);
    line.target = "score below the chart's";
    line.met = ours < charts;
    line.seen = seen(answers);
    line.chart = charts;
    return line;
}

Line line_of(const std::string& row, const std::vector<Answer>& answers, const Target& target) {
    if (target.kind == Kind::interval) return interval_line(row, answers);
    return target.kind == Kind::score ? score_line(row, answers) : error_line(row, answers, target);
}

double median_amount(const std::vector<Outcome>& outcomes) {
    std::vector<double> amounts;
    for (const Outcome& outcome : outcomes) amounts.push_back(outcome.amount);
    const auto middle = amounts.begin() + static_cast<std::ptrdiff_t>(amounts.size() / 2);
    std::ranges::nth_element(amounts, middle);
    return *middle;
}

Line outcome_line(const std::string& row, const std::vector<Outcome>& outcomes, const Target& target) {
    Line line;
    const auto wrong = std::ranges::count(outcomes, false, &Outcome::as_it_must);
    const auto all = static_cast<std::ptrdiff_t>(outcomes.size());
    const double share_wrong = static_cast<double>(wrong) / static_cast<double>(all);
    line.row = row;
    if (!is_known(target.rule)) {
        line.figure = "no such rule";
    } else if (target.kind == Kind::every) {
        line.figure = fmt::format("{} of {}", all - wrong, all);
        const double amount = median_amount(outcomes);
        if (std::isfinite(amount)) line.figure += fmt::format(", median {:.3g} {}", amount, target.unit);
        line.met = wrong == 0;
    } else {
        line.figure = fmt::format("{} of {}", wrong, all);
        line.met = share_wrong <= target.bound;
    }
    line.target = target.kind == Kind::every ? "all" : fmt::format("at most {:.0f} %", 100 * target.bound);
    line.seen = fmt::format("{} worlds", all);
    return line;
}

std::string number(double value) {
    return std::isnan(value) ? "" : fmt::format("{:.3g}", value);
}

std::string key_of(const std::string& row, const std::string& target) {
    return row + "|" + target;
}

std::string trimmed(const std::string& text) {
    const auto first = text.find_first_not_of(' ');
    return first == std::string::npos ? "" : text.substr(first, text.find_last_not_of(' ') - first + 1);
}

}  // namespace

std::vector<Line> lines_of(const Ledger& ledger) {
    std::vector<Line> lines;
    for (const Target& target : targets()) {
        for (const auto& [row, answers] : ledger.answers)
            if (row.starts_with(target.rows)) lines.push_back(line_of(row, answers, target));
        for (const auto& [row, outcomes] : ledger.outcomes)
            if (row.starts_with(target.rows)) lines.push_back(outcome_line(row, outcomes, target));
    }
    return lines;
}

Earlier read_table(std::istream& in) {
    Earlier earlier;
    for (std::string line; std::getline(in, line);) {
        std::vector<std::string> cells;
        std::istringstream cut{line};
        for (std::string cell; std::getline(cut, cell, '|');) cells.push_back(trimmed(cell));
        constexpr std::size_t row = 1, figure = 2, target = 3;
        if (cells.size() > target) earlier[key_of(cells[row], cells[target])] = cells[figure];
    }
    return earlier;
}

void print(const std::vector<Line>& lines, const Earlier& earlier, std::ostream& out) {
    const bool compares = !earlier.empty();
    out << "| row | figure | target | | looked at | truth below / above | width | score | chart's |"
        << (compares ? " before |" : "") << "\n|---|---|---|---|---|---|---|---|---|"
        << (compares ? "---|" : "") << '\n';
    for (const Line& line : lines) {
        out << fmt::format("| {} | {} | {} | {} | {} | {} | {} | {} | {} |", line.row, line.figure,
                           line.target, line.met ? "held" : "MISSED", line.seen, line.outside,
                           number(line.width), number(line.score), number(line.chart));
        if (compares) {
            const auto was = earlier.find(key_of(line.row, line.target));
            out << ' ' << (was == earlier.end() ? "" : was->second) << " |";
        }
        out << '\n';
    }
    const auto missed = std::ranges::count(lines, false, &Line::met);
    out << fmt::format("\n{} of {} targets held.\n", lines.size() - static_cast<std::size_t>(missed),
                       lines.size());
}

void print_worlds(const Ledger& ledger, std::string_view rows, std::ostream& out) {
    for (const auto& [row, answers] : ledger.answers) {
        if (!row.starts_with(rows)) continue;
        out << '\n' << row << '\n';
        for (const auto& [world, its] : by_world(answers))
            out << fmt::format("  {:<36} {:>4} looks, {:>3.0f} % held, {:+.4g} off, {:.4g} wide\n", world,
                               its.size(), 100 * share_held(its), median_bias(its), mean_width(its));
    }
    for (const auto& [row, outcomes] : ledger.outcomes) {
        if (!row.starts_with(rows)) continue;
        out << '\n' << row << '\n';
        for (const Outcome& outcome : outcomes)
            out << fmt::format("  {:<36} {} {:.4g}\n", outcome.world,
                               outcome.as_it_must ? "as it must" : "NOT", outcome.amount);
    }
}

}  // namespace gyled::pressure_worlds
