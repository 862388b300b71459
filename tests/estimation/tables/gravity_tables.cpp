/// Prints how near the gravity estimator comes to the truth, one line per family of simulated batches: for
/// tuning, not a test. Usage: gravity_tables [batches per family] [part of a family's name]

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <string>
#include <vector>

#include "daemon/estimation/gravity_curve.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "tests/estimation/gravity_worlds.hpp"

namespace {

using namespace gyled::estimation;
using gyled::base::Estimate;
using gyled::base::Quantity;
using worlds::World;

double median(std::vector<double> values) {
    if (values.empty()) return NAN;
    std::ranges::sort(values);
    return values[values.size() / 2];
}

/// How often the intervals held the truth, percent.
struct Coverage {
    long seen = 0;
    long held = 0;
    void note(const Estimate& estimate, double truth) {
        ++seen;
        held += estimate.low <= truth && truth <= estimate.high;
    }
    [[nodiscard]] double percent() const {
        return seen == 0 ? NAN : 100.0 * static_cast<double>(held) / static_cast<double>(seen);
    }
};

struct Family {
    std::vector<double> end_at_half, end_at_three_quarters, end_at_last;  // errors, points
    std::vector<double> finish_at_60;                                     // error, h
    std::vector<double> finished_after_h, stalled_after_h, revoked_after_h;
    Coverage now, end, finish, rate;
    int early = 0, late = 0, taken_back = 0, false_stalls = 0;
    double cpu_s = 0;
};

double cpu_s() {
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

void judge_facts(const World& world, const GravityCurve& curve, Family& family) {
    const double near_h = world.hour_within(0.0007);
    for (const Fact& fact : curve.facts()) {
        const double hour = gyled::base::hours_between(world.pitched, fact.at);
        const auto quarter = static_cast<std::size_t>(4.0 * hour - 1.0);
        if (fact.kind == FactKind::fermentation_stalled) {
            if (world.stopped_h && hour > *world.stopped_h)
                family.stalled_after_h.push_back(hour - *world.stopped_h);
            else
                ++family.false_stalls;
        }
        if (fact.kind != FactKind::fermentation_finished) continue;
        if (world.creeps_h && hour < *world.creeps_h) {
            const double revoked_h = gyled::base::hours_between(world.pitched, fact.revoked_at);
            family.revoked_after_h.push_back(fact.revoked ? revoked_h - *world.creeps_h : 1e9);
            continue;
        }
        family.taken_back += fact.revoked;
        if (world.quarters[quarter].true_sg - world.terminal_sg > 0.0007) {
            ++family.early;
            continue;
        }
        family.finished_after_h.push_back(hour - near_h);
        family.late += hour - near_h > 48.0;
    }
}

void live(const World& world, Family& family) {
    const double half_h = world.hour_of_share(0.5);
    const double sixty_h = world.hour_of_share(0.6);
    const double three_quarters_h = world.hour_of_share(0.75);
    const double begun_h = world.hour_of_share(0.05);
    const double finish_h = world.hour_within(0.0005);
    const double finish_s = gyled::base::unix_seconds(world.pitched) + 3600.0 * finish_h;
    const double begin_s = cpu_s();
    GravityCurve curve{world.prior, world.pitched};
    curve.set_plan(world.plan);
    for (std::size_t i = 0; i < world.quarters.size(); ++i) {
        const worlds::Quarter& quarter = world.quarters[i];
        curve.step(world.time_of(i), quarter.beer_c, quarter.bin, quarter.stage);
        const auto& estimates = curve.estimates();
        const auto find = [&](Quantity quantity) {
            const auto found = estimates.find(quantity);
            return found == estimates.end() ? nullptr : &found->second;
        };
        const double hour = World::hour_of(i);
        if (const Estimate* now = find(Quantity::gravity_now)) family.now.note(*now, quarter.true_sg);
        if (const Estimate* end = find(Quantity::final_gravity)) {
            family.end.note(*end, world.terminal_sg);
            const double error = 1000.0 * std::abs(end->value - world.terminal_sg);
            if (hour == half_h) family.end_at_half.push_back(error);
            if (hour == three_quarters_h) family.end_at_three_quarters.push_back(error);
            if (i + 1 == world.quarters.size()) family.end_at_last.push_back(error);
        }
        if (const Estimate* finish = find(Quantity::finish_time)) {
            family.finish.note(*finish, finish_s);
            if (hour == sixty_h) family.finish_at_60.push_back(std::abs(finish->value - finish_s) / 3600.0);
        }
        if (const Estimate* rate = find(Quantity::gravity_rate); rate && hour > begun_h && hour < finish_h)
            family.rate.note(*rate, 24.0 * (quarter.true_sg - world.quarters[i - 4].true_sg));
    }
    family.cpu_s += cpu_s() - begin_s;
    judge_facts(world, curve, family);
}

World make(const std::string& family, std::uint64_t seed) {
    if (family.starts_with("foreign ")) return worlds::foreign(family.substr(8), seed);
    return worlds::from_vessel(gyled::virtual_vessel::scenario_named(family, seed).value());
}

}  // namespace

int main(int argc, char** argv) {
    const int batches = argc > 1 ? std::max(1, std::atoi(argv[1])) : 20;
    const std::string part = argc > 2 ? argv[2] : "";
    fmt::print(
        "errors are medians (points, hours); coverage of 90 % intervals in percent; facts are counts and "
        "hours\n"
        "{:<24}{:>6}{:>6}{:>6}{:>7} |{:>5}{:>5}{:>7}{:>5} |{:>6}{:>6}{:>6}{:>7} |{:>6}{:>7} |{:>7} |{:>8}\n",
        "family", "1/2", "3/4", "last", "finish", "now", "end", "finish", "rate", "early", "late", "back",
        "after", "false", "stall", "creep", "ms each");
    for (const std::string family : {"ale",
                                     "lager",
                                     "mixed-long-tail",
                                     "stuck-at-half-way",
                                     "early-crash-and-rewarm",
                                     "late-creep",
                                     "sensor-outages",
                                     "biased-sensors",
                                     "drifting-sensors",
                                     "outliers",
                                     "foreign ale",
                                     "foreign lager",
                                     "foreign mixed",
                                     "foreign stuck",
                                     "foreign crash",
                                     "foreign creep",
                                     "foreign outages",
                                     "foreign drift",
                                     "foreign outliers",
                                     "foreign warm"}) {
        if (family.find(part) == std::string::npos) continue;
        Family f;
        for (int seed = 1; seed <= batches; ++seed)
            live(make(family, static_cast<std::uint64_t>(7919 * seed + 5)), f);
        fmt::print(
            "{:<24}{:>6.2f}{:>6.2f}{:>6.2f}{:>7.1f} |{:>5.0f}{:>5.0f}{:>7.0f}{:>5.0f} "
            "|{:>6}{:>6}{:>6}{:>7.1f} "
            "|{:>6}{:>7.1f} |{:>7.1f} |{:>8.0f}\n",
            family, median(f.end_at_half), median(f.end_at_three_quarters), median(f.end_at_last),
            median(f.finish_at_60), f.now.percent(), f.end.percent(), f.finish.percent(), f.rate.percent(),
            f.early, f.late, f.taken_back, median(f.finished_after_h), f.false_stalls,
            median(f.stalled_after_h), median(f.revoked_after_h), 1000.0 * f.cpu_s / batches);
    }
}
