/// Prints how good the beliefs are, scenario by scenario, next to what simple methods give on the same data.
///   gyled-simulate [--full] [SEEDS [FIRST_SEED [SCENARIO...]]]      10 seeds from 1 when not given
///   gyled-simulate --budgets [WORLD...]                             lines for tests/simulation/budgets.tsv
/// A table in Markdown, or with --full every figure.

#include <fmt/format.h>

#include <cstdlib>
#include <set>
#include <string>

#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "tests/simulation/budgets.hpp"
#include "tests/simulation/score.hpp"

namespace {

using gyled::simulation::Score;
using Scores = std::vector<Score>;

void print_all(const Scores& scores) {
    std::set<std::string> figures, covered;
    for (const Score& s : scores) {
        for (const auto& [name, value] : s.figures) figures.insert(name);
        for (const auto& [name, value] : s.coverage) covered.insert(name);
    }
    for (const auto& name : figures) {
        int count = 0;
        double worst = 0;
        for (const auto& s : scores)
            if (const auto found = s.figures.find(name); found != s.figures.end()) {
                ++count;
                worst = std::max(worst, std::abs(found->second));
            }
        fmt::print("  {:<44} median {:>10.4f}  largest {:>10.4f}  sum {:>8.2f}  in {}\n", name,
                   *gyled::simulation::median_of(scores, name), worst,
                   gyled::simulation::sum_of(scores, name), count);
    }
    for (const auto& name : covered) {
        const auto seen = gyled::simulation::coverage_of(scores, name);
        fmt::print("  {:<44} held {:>5.1f} % of {:>4}  width {:.4g}\n", name + " interval",
                   100.0 * seen->held / seen->looked, seen->looked, gyled::simulation::median(seen->widths));
    }
}

/// "0.0007 (0.0184)": ours, and the simple method's in brackets.
std::string cell(const Scores& scores, const std::string& figure, const std::string& simple, int digits) {
    const auto ours = gyled::simulation::median_of(scores, figure);
    if (!ours) return "";
    const auto other = simple.empty() ? std::nullopt : gyled::simulation::median_of(scores, simple);
    return other ? fmt::format("{:.{}f} ({:.{}f})", *ours, digits, *other, digits)
                 : fmt::format("{:.{}f}", *ours, digits);
}

std::string share(const Scores& scores, const std::string& quantity) {
    const auto held = gyled::simulation::held_share(scores, quantity);
    return held ? fmt::format("{:.0f}", 100 * *held) : "";
}

/// "10/10 after 26 h": how often said when it should have been, and how late.
std::string said(const Scores& scores, const std::string& expected, const std::string& told,
                 const std::string& after) {
    const double asked = gyled::simulation::sum_of(scores, expected);
    if (asked == 0) return "";
    const auto late = gyled::simulation::median_of(scores, after);
    return fmt::format("{:.0f}/{:.0f}{}", gyled::simulation::sum_of(scores, told), asked,
                       late ? fmt::format(" after {:.0f} h", *late) : "");
}

void print_head(int seeds) {
    fmt::print(
        "{} seeds each; medians; in brackets what a simple method gives: the last reading for final gravity, "
        "a straight\n"
        "line through two days for the finish, the carbonation equilibrium for CO2. Held: share of 90 % "
        "intervals that\n"
        "held the truth. Wrong: facts said against the truth (finished too early, false stalls, false "
        "leaks).\n\n"
        "| scenario | FG off at 50 % | at 75 % | finish off at 60 %, h | CO2 off, vol | held: SG | FG | "
        "finish | CO2 | "
        "finished | stalled | leak | wrong | s |\n"
        "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n",
        seeds);
}

void print_row(std::string_view name, const Scores& scores) {
    using gyled::simulation::sum_of;
    const double wrong = sum_of(scores, "finished too early") + sum_of(scores, "false stall") +
                         sum_of(scores, "finished though stuck") + sum_of(scores, "false leak");
    fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {:.0f} | {} |\n", name,
               cell(scores, "final gravity error at 50 %", "final gravity error at 50 %, last reading", 4),
               cell(scores, "final gravity error at 75 %", "final gravity error at 75 %, last reading", 4),
               cell(scores, "finish error at 60 %, h", "finish error at 60 %, h, straight line", 0),
               cell(scores, "co2 error", "co2 error, chart", 2), share(scores, "gravity_now"),
               share(scores, "final_gravity"), share(scores, "finish_time"), share(scores, "co2_volumes"),
               said(scores, "finished expected", "finished", "finished after, h"),
               said(scores, "stall expected", "stall told", "stall told after, h"),
               said(scores, "leak expected", "leak told", "leak told after, h"), wrong,
               cell(scores, "seconds", "", 1));
    std::fflush(stdout);
}

int print_budgets(const std::set<std::string>& wanted) {
    fmt::print(
        "# world\tfigure\tmeasured\tsense\tbound; written by gyled-simulate --budgets, see budgets.hpp\n");
    for (const auto& kind : gyled::simulation::kinds()) {
        if (!wanted.empty() && !wanted.contains(std::string{kind.name})) continue;
        for (const auto& budget : gyled::simulation::earned(kind, gyled::simulation::live(kind)))
            fmt::print("{}\n", gyled::simulation::line_of(budget));
        std::fflush(stdout);
    }
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    std::vector<std::string> words(argv + 1, argv + argc);
    if (!words.empty() && words.front() == "--budgets")
        return print_budgets({words.begin() + 1, words.end()});
    const bool full = !words.empty() && words.front() == "--full";
    if (full) words.erase(words.begin());
    const int seeds = !words.empty() ? std::atoi(words[0].c_str()) : 10;
    const int first = words.size() > 1 ? std::atoi(words[1].c_str()) : 1;
    const std::set<std::string> wanted(words.size() > 2 ? words.begin() + 2 : words.end(), words.end());
    if (seeds < 1) {
        fmt::print(stderr, "gyled-simulate: expected a number of seeds\n");
        return 2;
    }

    if (!full) print_head(seeds);
    for (const auto& named : gyled::virtual_vessel::all_scenarios()) {
        if (!wanted.empty() && !wanted.contains(std::string{named.name})) continue;
        Scores scores;
        for (int seed = first; seed < first + seeds; ++seed)
            scores.push_back(gyled::simulation::score(
                gyled::simulation::live_through(named.make(static_cast<std::uint64_t>(seed)))));
        if (!full) {
            print_row(named.name, scores);
            continue;
        }
        fmt::print("## {} ({} seeds)\n", named.name, seeds);
        print_all(scores);
    }
}
