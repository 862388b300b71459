#include "daemon/estimation/statistics/weighted_sample.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace gyled::estimation::statistics {
namespace {

double quantile_of_sorted(const std::vector<Weighted>& sample, double weight_below) {
    double sum = 0;
    for (const Weighted& one : sample)
        if ((sum += one.weight) >= weight_below) return one.value;
    return sample.back().value;
}

double total_weight(const std::vector<Weighted>& sample) {
    double total = 0;
    for (const Weighted& one : sample) total += one.weight;
    return total;
}

}  // namespace

double quantile(std::vector<Weighted>& sample, double share) {
    std::ranges::sort(sample);
    return quantile_of_sorted(sample, share * total_weight(sample));
}

base::Estimate median_and_90_percent(std::vector<Weighted>& sample) {
    constexpr double middle = 0.5, low = 0.05, high = 0.95;  // what median and 90 % mean
    std::ranges::sort(sample);
    const double total = total_weight(sample);
    return {quantile_of_sorted(sample, middle * total), quantile_of_sorted(sample, low * total),
            quantile_of_sorted(sample, high * total)};
}

double effective_size(std::span<const double> weights) {
    double sum = 0, squares = 0;
    for (const double w : weights) {
        sum += w;
        squares += w * w;
    }
    return sum * sum / squares;
}

std::vector<std::size_t> systematic_resample(std::span<const double> weights, double offset) {
    const auto count = static_cast<double>(weights.size());
    const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
    std::vector<std::size_t> chosen;
    chosen.reserve(weights.size());
    double cumulative = weights.front();
    std::size_t at = 0;
    while (chosen.size() < weights.size()) {
        const double mark = (static_cast<double>(chosen.size()) + offset) / count * total;
        while (cumulative < mark && at + 1 < weights.size()) cumulative += weights[++at];
        chosen.push_back(at);
    }
    return chosen;
}

std::vector<double> weights_from_logs(std::span<const double> logs) {
    const double largest = *std::ranges::max_element(logs);
    std::vector<double> weights;
    weights.reserve(logs.size());
    for (const double log : logs) weights.push_back(std::exp(log - largest));
    return weights;
}

}  // namespace gyled::estimation::statistics
