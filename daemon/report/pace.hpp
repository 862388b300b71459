#pragma once
/// How a batch went beside the brewer's earlier ones of its name, by apparent attenuation over the hours
/// since pitching. Pure; any thread; nothing throws.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "daemon/report/material.hpp"

namespace gyled::report {

/// Attenuation, in percent, by hours since pitching; ascending in hours.
struct Course {
    std::vector<double> hours, percent;

    [[nodiscard]] double highest() const;  ///< 0 when there is none
    /// When it first stood at this attenuation, between two points on the line through both.
    [[nodiscard]] std::optional<double> hours_to(double percent_wanted) const;
    /// At this hour, on the line between its neighbours; nothing outside, or in a gap of more than a day.
    [[nodiscard]] std::optional<double> at(double hour) const;
};
[[nodiscard]] Course course(const cellar::Trend& attenuation, Timestamp pitched);

struct Pace {
    double percent = 0;                          ///< of attenuation, at which all are compared
    double hours = 0;                            ///< this batch's
    double usual = 0, fastest = 0, slowest = 0;  ///< median and range of the earlier ones
    std::size_t earlier = 0;                     ///< how many these are
    [[nodiscard]] double behind() const { return hours - usual; }
};

struct PaceParameters {
    double least_percent = 10;  ///< below this attenuation nothing can be told of a pace
    double share = 0.9;  ///< of the attenuation that all have reached: the last tenth hangs on the slowest
                         ///< sugar, and on noise
};
/// Compared at nine tenths of what the least attenuated of all has reached. Nothing without an earlier batch.
[[nodiscard]] std::optional<Pace> pace(const Course& mine, const std::vector<Course>& earlier,
                                       const PaceParameters& parameters = {});
/// "It was 68 % attenuated after 71 h, 9 h behind your usual (62 h; 58 h to 66 h in 3 batches)."
[[nodiscard]] std::string words(const Pace& pace);

/// What the earlier ones went through, every `step` hours up to `until`: the lowest, the middle and the
/// highest of those that were seen then.
struct Envelope {
    std::vector<double> hours, low, middle, high;
};
[[nodiscard]] Envelope envelope(const std::vector<Course>& earlier, double until, double step);

}  // namespace gyled::report
