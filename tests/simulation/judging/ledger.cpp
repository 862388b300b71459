#include "tests/simulation/judging/ledger.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace gyled::judging {
namespace {

constexpr double missed_share = 0.10;  // of a 90 % interval
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

bool holds(const Answer& answer) {
    return answer.estimate && answer.estimate->low <= answer.truth && answer.truth <= answer.estimate->high;
}

double score(double low, double high, double truth) {
    return high - low + 2 / missed_share * (std::max(0.0, low - truth) + std::max(0.0, truth - high));
}

double quantile(std::vector<double> values, double share) {
    const auto last = static_cast<double>(values.size() - 1);
    const auto place = values.begin() + static_cast<std::ptrdiff_t>(std::ceil(share * last));
    std::nth_element(values.begin(), place, values.end());
    return *place;
}

template <typename Figure>
double mean_over_believed(const std::vector<Answer>& answers, Figure figure) {
    double sum = 0, count = 0;
    for (const Answer& answer : answers) {
        if (!answer.estimate) continue;
        sum += figure(answer);
        ++count;
    }
    return count > 0 ? sum / count : nan;
}

}  // namespace

void Ledger::look(const std::string& row, const base::Estimate* estimate, Answer beside) {
    if (estimate != nullptr) beside.estimate = *estimate;
    answers[row].push_back(beside);
}

void Ledger::look_beside(const std::string& method, const std::string& row,
                         const std::optional<base::Estimate>& estimate, Answer beside) {
    beside.estimate = estimate;
    peers[method][row].push_back(beside);
}

double share_held(const std::vector<Answer>& answers) {
    return static_cast<double>(std::ranges::count_if(answers, holds)) / static_cast<double>(answers.size());
}

double error_of_share(const std::vector<Answer>& answers) {
    const double share = share_held(answers);
    std::map<std::string, double> off;
    for (const Answer& answer : answers) off[answer.world] += (holds(answer) ? 1 : 0) - share;
    double sum = 0;
    for (const auto& [world, each] : off) sum += each * each;
    return std::sqrt(sum) / static_cast<double>(answers.size());
}

double median_error(const std::vector<Answer>& answers) {
    std::vector<double> errors;
    for (const Answer& answer : answers)
        errors.push_back(answer.estimate ? std::abs(answer.estimate->value - answer.truth) / answer.of
                                         : std::numeric_limits<double>::infinity());
    return quantile(std::move(errors), 0.5);
}

double mean_width(const std::vector<Answer>& answers) {
    return mean_over_believed(answers, [](const Answer& a) { return a.estimate->high - a.estimate->low; });
}

double mean_score(const std::vector<Answer>& answers) {
    return mean_over_believed(
        answers, [](const Answer& a) { return score(a.estimate->low, a.estimate->high, a.truth); });
}

double simple_score(const std::vector<Answer>& answers) {
    std::vector<double> errors;
    for (const Answer& answer : answers)
        if (!std::isnan(answer.simple)) errors.push_back(std::abs(answer.simple - answer.truth));
    if (errors.empty()) return nan;
    const double within = quantile(errors, 1 - missed_share);
    double sum = 0;
    for (const double error : errors) sum += score(-within, within, error);
    return sum / static_cast<double>(errors.size());
}

Outside outside(const std::vector<Answer>& answers) {
    const auto share_of = [&](auto is_so) {
        return mean_over_believed(answers, [&](const Answer& a) { return is_so(a) ? 1.0 : 0.0; });
    };
    return {share_of([](const Answer& a) { return a.truth < a.estimate->low; }),
            share_of([](const Answer& a) { return a.truth > a.estimate->high; })};
}

double median_bias(const std::vector<Answer>& answers) {
    std::vector<double> errors;
    for (const Answer& answer : answers)
        if (answer.estimate) errors.push_back(answer.estimate->value - answer.truth);
    return errors.empty() ? nan : quantile(std::move(errors), 0.5);
}

std::map<std::string, std::vector<Answer>> by_world(const std::vector<Answer>& answers) {
    std::map<std::string, std::vector<Answer>> worlds;
    for (const Answer& answer : answers) worlds[answer.world].push_back(answer);
    return worlds;
}

std::size_t worlds_in(const std::vector<Answer>& answers) {
    std::set<std::string> worlds;
    for (const Answer& answer : answers) worlds.insert(answer.world);
    return worlds.size();
}

}  // namespace gyled::judging
