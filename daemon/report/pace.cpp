#include "daemon/report/pace.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gyled::report {
namespace {

constexpr double longest_gap_h = 24;  ///< no line is believed over a longer silence

double middle_of(std::vector<double> values) {
    std::ranges::sort(values);
    const std::size_t n = values.size();
    return n % 2 == 1 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

double between(double x, double x1, double y1, double x2, double y2) {
    return x2 > x1 ? y1 + (y2 - y1) * (x - x1) / (x2 - x1) : y2;
}

std::string batches(std::size_t n) {
    return n == 1 ? "the one batch before" : fmt::format("{} batches", n);
}

}  // namespace

double Course::highest() const {
    return percent.empty() ? 0 : *std::ranges::max_element(percent);
}

std::optional<double> Course::hours_to(double wanted) const {
    for (std::size_t i = 0; i < percent.size(); ++i) {
        if (percent[i] < wanted) continue;
        return i == 0 ? hours[0] : between(wanted, percent[i - 1], hours[i - 1], percent[i], hours[i]);
    }
    return std::nullopt;
}

std::optional<double> Course::at(double hour) const {
    const auto after = std::ranges::lower_bound(hours, hour);
    if (after == hours.end()) return std::nullopt;
    const auto i = static_cast<std::size_t>(after - hours.begin());
    if (*after == hour) return percent[i];
    if (i == 0 || hours[i] - hours[i - 1] > longest_gap_h) return std::nullopt;
    return between(hour, hours[i - 1], percent[i - 1], hours[i], percent[i]);
}

Course course(const cellar::Trend& attenuation, Timestamp pitched) {
    Course out;
    for (std::size_t i = 0; i < attenuation.at.size(); ++i) {
        if (attenuation.at[i] < pitched || !std::isfinite(attenuation.value[i])) continue;
        out.hours.push_back(base::hours_between(pitched, attenuation.at[i]));
        out.percent.push_back(attenuation.value[i]);
    }
    return out;
}

std::optional<Pace> pace(const Course& mine, const std::vector<Course>& earlier,
                         const PaceParameters& parameters) {
    Pace pace;
    pace.percent = parameters.share * mine.highest();
    for (const Course& one : earlier) pace.percent = std::min(pace.percent, parameters.share * one.highest());
    const auto hours = mine.hours_to(pace.percent);
    if (!hours || pace.percent < parameters.least_percent || earlier.empty()) return std::nullopt;
    pace.hours = *hours;
    std::vector<double> theirs;
    for (const Course& one : earlier)
        if (const auto h = one.hours_to(pace.percent)) theirs.push_back(*h);
    if (theirs.empty()) return std::nullopt;
    pace.earlier = theirs.size();
    pace.fastest = *std::ranges::min_element(theirs);
    pace.slowest = *std::ranges::max_element(theirs);
    pace.usual = middle_of(std::move(theirs));
    return pace;
}

std::string words(const Pace& pace) {
    const double behind = std::round(pace.behind());
    const std::string place = behind == 0  ? "at your usual pace"
                              : behind > 0 ? fmt::format("{:.0f} h behind your usual", behind)
                                           : fmt::format("{:.0f} h ahead of your usual", -behind);
    const std::string range =
        pace.earlier == 1 ? std::string{} : fmt::format("; {:.0f} h to {:.0f} h", pace.fastest, pace.slowest);
    return fmt::format("It was {:.0f} % attenuated {:.0f} h after pitching, {} ({:.0f} h{} in {}).",
                       pace.percent, pace.hours, place, pace.usual, range, batches(pace.earlier));
}

Envelope envelope(const std::vector<Course>& earlier, double until, double step) {
    Envelope out;
    for (double hour = 0; hour <= until; hour += step) {
        std::vector<double> seen;
        for (const Course& one : earlier)
            if (const auto percent = one.at(hour)) seen.push_back(*percent);
        if (seen.empty()) continue;
        out.hours.push_back(hour);
        out.low.push_back(*std::ranges::min_element(seen));
        out.high.push_back(*std::ranges::max_element(seen));
        out.middle.push_back(middle_of(std::move(seen)));
    }
    return out;
}

}  // namespace gyled::report
