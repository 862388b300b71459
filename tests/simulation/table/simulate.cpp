/// Prints how good the beliefs are: `gyled-simulate [SEEDS [FIRST_SEED [SCENARIO...]]]`, 10 seeds from 1 when
/// not given.

#include <fmt/format.h>

#include <cstdlib>
#include <set>
#include <string>

#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "tests/simulation/score.hpp"

int main(int argc, char** argv) {
    using namespace gyled;
    const int seeds = argc > 1 ? std::atoi(argv[1]) : 10;
    const int first = argc > 2 ? std::atoi(argv[2]) : 1;
    std::set<std::string> wanted;
    for (int i = 3; i < argc; ++i) wanted.insert(argv[i]);

    for (const auto& named : virtual_vessel::all_scenarios()) {
        if (!wanted.empty() && !wanted.contains(std::string{named.name})) continue;
        std::vector<simulation::Score> scores;
        std::set<std::string> figures, covered;
        for (int seed = first; seed < first + seeds; ++seed) {
            scores.push_back(
                simulation::score(simulation::live_through(named.make(static_cast<std::uint64_t>(seed)))));
            for (const auto& [name, value] : scores.back().figures) figures.insert(name);
            for (const auto& [name, value] : scores.back().coverage) covered.insert(name);
        }
        fmt::print("## {} ({} seeds)\n", named.name, seeds);
        for (const auto& name : figures) {
            int count = 0;
            double worst = 0;
            for (const auto& s : scores)
                if (const auto found = s.figures.find(name); found != s.figures.end()) {
                    ++count;
                    worst = std::max(worst, std::abs(found->second));
                }
            fmt::print("  {:<44} median {:>10.4f}  largest {:>10.4f}  sum {:>8.2f}  in {}\n", name,
                       *simulation::median_of(scores, name), worst, simulation::sum_of(scores, name), count);
        }
        for (const auto& name : covered)
            fmt::print("  {:<44} held {:>5.1f} %\n", name + " interval",
                       100 * *simulation::held_share(scores, name));
        std::fflush(stdout);
    }
}
