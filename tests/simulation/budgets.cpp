#include "tests/simulation/budgets.hpp"

#include <fmt/format.h>

#include <cmath>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <stdexcept>

#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::simulation {
namespace {

using virtual_vessel::Scenario;

constexpr int seeds_of_each = 6;  // each family of kinetics once
constexpr int seeds_of_instruments = 3;
constexpr int seeds_of_long = 2;         // ten weeks
constexpr int fewest_looks = 12;         // a share of less says nothing
constexpr double held_slack = 0.04;      // a share that falls by more has become another estimator
constexpr double growth_allowed = 1.15;  // of widths and errors

struct Wanted {
    std::string_view figure;
    bool at_least;
};
constexpr Wanted wanted[] = {
    {"median gravity_now error", false},
    {"median final gravity error at 50 %", false},
    {"median final gravity error at 75 %", false},
    {"median finish error at 60 %, h", false},
    {"median co2 error", false},
    {"median co2 error after shut-in", false},
    {"median co2 width after 3 d on gas", false},
    {"median warm_pressure off, %", false},
    {"median closed_pressure off, %", false},
    {"median ready_time error, min", false},
    {"median limit warned before, min", true},
    {"median finished after, h", false},
    {"median stall told after, h", false},
    {"median leak told after, h", false},
    {"sum finished", true},
    {"sum stall told", true},
    {"sum leak told", true},
    {"sum limit reached", true},
    {"sum finished too early", false},
    {"sum finished though stuck", false},
    {"sum false stall", false},
    {"sum false leak", false},
    {"sum false pressure_rising", false},
    {"sum closed with sugar told", true},
    {"sum false closed_with_sugar", false},
};

Scenario blocked_vent(std::uint64_t seed) {
    Scenario s = virtual_vessel::ale(seed);
    s.name = "blocked-vent";
    s.troubles.push_back({.kind = virtual_vessel::TroubleKind::shut_vent, .start_hours = 40});
    s.duration_hours = 5 * 24;
    return s;
}

/// The brewer did not do the sum: half a day too early.
Scenario shut_too_early(std::uint64_t seed) {
    Scenario s = virtual_vessel::scenario_named("sealed-ferment", seed).value();
    s.name = "shut-too-early";
    auto& shut = s.stages.back();
    constexpr double half_a_day_h = 12;
    shut.start_hours = std::max(half_a_day_h, shut.start_hours - half_a_day_h);
    s.duration_hours = shut.start_hours + 6 * 24;
    return s;
}

double earned_bound(std::string_view figure, bool at_least, double value) {
    if (figure.starts_with("sum ")) return value;
    if (figure.starts_with("held ")) return std::max(0.0, value - held_slack);
    return at_least ? value / growth_allowed : value * growth_allowed;
}

}  // namespace

const std::vector<Kind>& kinds() {
    static const std::vector<Kind> all = [] {
        const std::map<std::string_view, int> fewer{
            {"mixed-long-tail", seeds_of_long},         {"whole-batch", seeds_of_instruments},
            {"sensor-outages", seeds_of_instruments},   {"biased-sensors", seeds_of_instruments},
            {"drifting-sensors", seeds_of_instruments}, {"outliers", seeds_of_instruments},
            {"wrong-clock", seeds_of_instruments},
        };
        std::vector<Kind> list;
        for (const auto& named : virtual_vessel::all_scenarios()) {
            const auto few = fewer.find(named.name);
            list.push_back({named.name, named.make, few == fewer.end() ? seeds_of_each : few->second});
        }
        list.push_back({"blocked-vent", blocked_vent, seeds_of_each});
        list.push_back({"shut-too-early", shut_too_early, seeds_of_each});
        return list;
    }();
    return all;
}

std::vector<Score> live(const Kind& kind) {
    std::vector<Score> scores;
    for (int i = 0; i < kind.seeds; ++i)
        scores.push_back(score(live_through(kind.make(first_seed + static_cast<std::uint64_t>(i)))));
    return scores;
}

std::optional<double> value_of(const std::vector<Score>& scores, const std::string& figure) {
    const std::size_t blank = figure.find(' ');
    const std::string how = figure.substr(0, blank);
    const std::string what = figure.substr(blank + 1);
    if (how == "held") return held_share(scores, what);
    if (how == "median") return median_of(scores, what);
    if (how == "sum") return sum_of(scores, what);
    if (how != "width") throw std::runtime_error("no such figure: " + figure);
    const auto seen = coverage_of(scores, what);
    return seen ? std::optional{median(seen->widths)} : std::nullopt;
}

std::vector<Budget> earned(const Kind& kind, const std::vector<Score>& scores) {
    std::vector<Budget> list;
    const auto add = [&](const std::string& figure, bool at_least) {
        const auto value = value_of(scores, figure);
        // A sum that must be reached is asked for only where something was.
        if (!value || (figure.starts_with("sum ") && at_least && *value == 0)) return;
        list.push_back(
            {std::string{kind.name}, figure, *value, at_least, earned_bound(figure, at_least, *value)});
    };
    std::set<std::string> looked_at;
    for (const Score& s : scores)
        for (const auto& [what, seen] : s.coverage) looked_at.insert(what);
    for (const std::string& what : looked_at) {
        if (coverage_of(scores, what)->looked < fewest_looks) continue;
        add("held " + what, true);
        add("width " + what, false);
    }
    for (const Wanted& one : wanted) add(std::string{one.figure}, one.at_least);
    return list;
}

std::string line_of(const Budget& b) {
    return fmt::format("{}\t{}\t{:.4g}\t{}\t{:.4g}", b.world, b.figure, b.measured,
                       b.at_least ? "at least" : "at most", b.bound);
}

std::vector<Budget> read_budgets() {
    std::ifstream in{GYLED_SOURCE_DIR "/tests/simulation/budgets.tsv"};
    if (!in) throw std::runtime_error("cannot read tests/simulation/budgets.tsv");
    std::vector<Budget> list;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line.front() == '#') continue;
        std::istringstream fields{line};
        Budget b;
        std::string measured, sense, bound;
        std::getline(fields, b.world, '\t');
        std::getline(fields, b.figure, '\t');
        std::getline(fields, measured, '\t');
        std::getline(fields, sense, '\t');
        std::getline(fields, bound, '\t');
        b.measured = std::stod(measured);
        b.at_least = sense == "at least";
        b.bound = std::stod(bound);
        list.push_back(std::move(b));
    }
    return list;
}

}  // namespace gyled::simulation
