#include "tests/simulation/judging/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <istream>
#include <ostream>
#include <sstream>

namespace gyled::judging {
namespace {

constexpr double held_least = 0.85, held_most = 0.95;

std::size_t unanswered(const std::vector<Answer>& answers) {
    return static_cast<std::size_t>(
        std::ranges::count_if(answers, [](const Answer& a) { return !a.estimate; }));
}

double median_amount(const std::vector<Outcome>& outcomes) {
    std::vector<double> amounts;
    for (const Outcome& outcome : outcomes) amounts.push_back(outcome.amount);
    const auto middle = amounts.begin() + static_cast<std::ptrdiff_t>(amounts.size() / 2);
    std::ranges::nth_element(amounts, middle);
    return *middle;
}

std::ptrdiff_t wrong_among(const std::vector<Outcome>& outcomes) {
    return std::ranges::count(outcomes, false, &Outcome::as_it_must);
}

std::string key_of(const std::string& row, const std::string& target) {
    return row + "|" + target;
}

std::string trimmed(const std::string& text) {
    const auto first = text.find_first_not_of(' ');
    return first == std::string::npos ? "" : text.substr(first, text.find_last_not_of(' ') - first + 1);
}

}  // namespace

std::string seen(const std::vector<Answer>& answers) {
    const auto none = unanswered(answers);
    return fmt::format("{} in {}", answers.size(), worlds_in(answers)) +
           (none > 0 ? fmt::format(", {} unknown", none) : "");
}

std::string number(double value) {
    return std::isnan(value) ? "" : fmt::format("{:.3g}", value);
}

Line interval_line(const std::string& row, const std::vector<Answer>& answers) {
    Line line;
    const double share = share_held(answers);
    line.row = row;
    line.figure = unanswered(answers) == answers.size()
                      ? "not known"
                      : fmt::format("{:.0f} +-{:.0f} %", 100 * share, 100 * error_of_share(answers));
    line.target = "holds 85 to 95 %";
    line.off = std::max({0.0, held_least - share, share - held_most});
    line.met = line.off == 0;
    line.seen = seen(answers);
    if (unanswered(answers) < answers.size()) {
        const auto [below, above] = outside(answers);
        line.outside = fmt::format("{:.0f} / {:.0f} %", 100 * below, 100 * above);
    }
    line.width = mean_width(answers);
    line.score = mean_score(answers);
    return line;
}

Line error_line(const std::string& row, const std::vector<Answer>& answers, double bound,
                std::string_view unit) {
    Line line;
    const double error = median_error(answers);
    line.row = row;
    line.figure = std::isinf(error) ? "not known" : fmt::format("{:.3f}", error);
    line.target = fmt::format("off by {:g} {}", bound, unit);
    line.off = error;
    line.met = error <= bound;
    line.seen = seen(answers);
    line.outside = fmt::format("{:+.3g} median", median_bias(answers));
    return line;
}

Line every_line(const std::string& row, const std::vector<Outcome>& outcomes, std::string_view unit) {
    Line line;
    const auto wrong = wrong_among(outcomes);
    const auto all = static_cast<std::ptrdiff_t>(outcomes.size());
    line.row = row;
    line.figure = fmt::format("{} of {}", all - wrong, all);
    const double amount = median_amount(outcomes);
    if (std::isfinite(amount)) line.figure += fmt::format(", median {:.3g} {}", amount, unit);
    line.off = static_cast<double>(wrong);
    line.met = wrong == 0;
    line.target = "all";
    line.seen = fmt::format("{} worlds", all);
    return line;
}

Line hardly_line(const std::string& row, const std::vector<Outcome>& outcomes, double bound) {
    Line line;
    const auto wrong = wrong_among(outcomes);
    const auto all = static_cast<std::ptrdiff_t>(outcomes.size());
    line.row = row;
    line.figure = fmt::format("{} of {}", wrong, all);
    line.off = static_cast<double>(wrong);
    line.met = static_cast<double>(wrong) <= bound * static_cast<double>(all);
    line.target = fmt::format("at most {:.0f} %", 100 * bound);
    line.seen = fmt::format("{} worlds", all);
    return line;
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

void print(const std::vector<Line>& lines, const std::vector<std::string>& methods, const Earlier& earlier,
           std::ostream& out) {
    const bool compares = !earlier.empty();
    out << "| row | figure | target | | looked at | truth below / above | width | score |";
    for (const std::string& method : methods) out << ' ' << method << " |";
    out << (compares ? " before |" : "") << "\n|---|---|---|---|---|---|---|---|";
    for (std::size_t column = 0; column < methods.size(); ++column) out << "---|";
    out << (compares ? "---|" : "") << '\n';
    for (const Line& line : lines) {
        out << fmt::format("| {} | {} | {} | {} | {} | {} | {} | {} |", line.row, line.figure, line.target,
                           line.met ? "held" : "MISSED", line.seen, line.outside, number(line.width),
                           number(line.score));
        for (std::size_t column = 0; column < methods.size(); ++column)
            out << ' ' << (column < line.beside.size() ? line.beside[column] : "") << " |";
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

void print_failures(const Ledger& ledger, std::ostream& out) {
    for (const auto& [row, outcomes] : ledger.outcomes) {
        if (wrong_among(outcomes) == 0) continue;
        out << "- " << row << ':';
        for (const Outcome& outcome : outcomes)
            if (!outcome.as_it_must)
                out << ' ' << outcome.world
                    << (std::isnan(outcome.amount) ? ";" : fmt::format(" ({:.3g});", outcome.amount));
        out << '\n';
    }
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

}  // namespace gyled::judging
