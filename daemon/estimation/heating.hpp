#pragma once
/// Heating and chilling: honest waiting times. When will the liquor, mash or wort reach its target?

#include <deque>
#include <optional>

#include "daemon/base/estimate.hpp"

namespace gyled::estimation {

/// Watches beer temperature and tells when a target will be met. Copyable; single-threaded.
class HeatingTrend {
public:
    /// In event-time order; older readings than the newest are ignored.
    void add(base::Timestamp at, double celsius);

    /// degC per hour over the last quarter of an hour, with its standard error; nothing without enough
    /// readings.
    struct Rate {
        double c_per_hour = 0;
        double sigma = 0;
        double level_c = 0;
    };
    [[nodiscard]] std::optional<Rate> rate() const;

    /// The moment at which `target_c` is reached, as Unix seconds with its 90 % interval. Heating slows as
    /// the losses grow and chilling slows as the coolant's temperature is neared: the bend of the last 40
    /// minutes is carried on exponentially. Nothing when the temperature does not certainly move towards the
    /// target, when it is there already, or when the curve would level off before it.
    [[nodiscard]] std::optional<base::Estimate> time_to(double target_c) const;

private:
    struct Point {
        base::Timestamp at;
        double celsius;
    };
    std::deque<Point> points_;  ///< the last 40 minutes, thinned to at most 200
};

}  // namespace gyled::estimation
