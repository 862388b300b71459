#include "tests/simulation/score.hpp"

#include <algorithm>

#include "tests/simulation/looking.hpp"

namespace gyled::simulation {

void Score::look(std::string_view quantity, std::string_view phase, const base::Estimate& estimate,
                 double truth) {
    Coverage& seen = coverage[std::string{quantity} + "/" + std::string{phase}];
    ++seen.looked;
    if (estimate.low <= truth && truth <= estimate.high) ++seen.held;
    seen.widths.push_back(estimate.high - estimate.low);
}

Score score(const World& world) {
    Score result;
    score_gravity(world, result);
    score_facts(world, result);
    score_gas(world, result);
    score_outlooks(world, result);
    result.figures["seconds"] = world.seconds;
    return result;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

std::optional<double> median_of(const std::vector<Score>& scores, const std::string& figure) {
    std::vector<double> values;
    for (const Score& s : scores)
        if (const auto found = s.figures.find(figure); found != s.figures.end())
            values.push_back(found->second);
    if (values.empty()) return std::nullopt;
    return median(std::move(values));
}

double sum_of(const std::vector<Score>& scores, const std::string& figure) {
    double sum = 0;
    for (const Score& s : scores)
        if (const auto found = s.figures.find(figure); found != s.figures.end()) sum += found->second;
    return sum;
}

std::optional<Coverage> coverage_of(const std::vector<Score>& scores, const std::string& what) {
    Coverage all;
    for (const Score& s : scores)
        for (const auto& [key, seen] : s.coverage) {
            if (key != what && !key.starts_with(what + "/")) continue;
            all.held += seen.held;
            all.looked += seen.looked;
            all.widths.insert(all.widths.end(), seen.widths.begin(), seen.widths.end());
        }
    return all.looked == 0 ? std::nullopt : std::optional{std::move(all)};
}

std::optional<double> held_share(const std::vector<Score>& scores, const std::string& what) {
    const auto all = coverage_of(scores, what);
    if (!all) return std::nullopt;
    return static_cast<double>(all->held) / all->looked;
}

}  // namespace gyled::simulation
