#pragma once
/// The short run of head pressure, by robust least-squares lines: where is it heading in the next hours?
/// Works on raw readings, one by one, so that a rule can act within seconds. What dissolved gas and warmth do
/// in days is estimation/gas's.

#include <deque>
#include <optional>

#include "daemon/base/estimate.hpp"

namespace gyled::estimation::trend {

/// How the gas that yeast sets free shares itself out in a vessel that was shut a while ago: it stands above
/// the beer at first, then the beer takes up most of it, and the rise slows down (brewing/dissolution.hpp).
struct Settling {
    double shut_h = 0;     ///< so long before the newest reading
    double settles_h = 1;  ///< time constant
    base::Estimate share;  ///< of it that stays above the beer in the end; in (0, 1]
};

/// Rate of change of head pressure and when it would meet a limit if nothing changes. Copyable;
/// single-threaded. Bounded: some 7 kB.
class PressureTrend {
public:
    /// Readings must come in event-time order; older ones than the newest are ignored. kPa gauge.
    void add(base::Timestamp at, double kpa);
    /// The clock was set by so much: what was seen keeps its age.
    void shift(base::Duration by);

    struct Rate {
        double kpa_per_hour = 0;
        double sigma = 0;
        double level_kpa = 0;             ///< fitted pressure at the last reading
        base::Duration window{};          ///< over which it was seen
        double slowest_kpa_per_hour = 0;  ///< of all windows, beyond doubt: a burst may fall back to it
    };
    /// The fastest rise (or, with `falling`, fall) that is beyond doubt (4 to 6 sigma,
    /// PressureTrendParameters) over the last 4, 12, 40 or 120 minutes; nothing when there is none.
    [[nodiscard]] std::optional<Rate> certain_rate(bool falling = false) const;

    /// How it has moved since `from`, whatever it was, by least squares; nothing before four readings and
    /// four minutes.
    [[nodiscard]] std::optional<Rate> rate_since(base::Timestamp from) const;

    /// When `limit_kpa` would be met at the present rate, as Unix seconds with its 90 % interval, in which
    /// the rate may change on the way; `high` may be infinite. Nothing when the pressure does not certainly
    /// rise or the limit is more than two days away. `ends_kpa`: where the rise ends at the least, where that
    /// is believed: the late end comes nearer to it ever more slowly, and is infinite when it is no higher
    /// than the limit. `settling`: of gas that slows down first; the early end by the large share, the late
    /// one by the small.
    [[nodiscard]] std::optional<base::Estimate> time_to(double limit_kpa, std::optional<double> ends_kpa = {},
                                                        const std::optional<Settling>& settling = {}) const;

    /// The last reading not after `moment`, kPa; nothing when there is none in the memory.
    [[nodiscard]] std::optional<double> reading_before(base::Timestamp moment) const;

    /// How it stood a while ago: the median of the half hour that ended two minutes before the newest
    /// reading, and the scatter (one sigma) of a reading. Nothing with fewer than three readings there.
    struct Level {
        double kpa = 0;
        double noise_kpa = 0;
    };
    [[nodiscard]] std::optional<Level> level_before() const;

    /// Has enough been seen since the last silence that a rise would have shown, or has the pressure fallen?
    [[nodiscard]] bool would_show_a_rise() const;

private:
    struct Point {
        base::Timestamp at;
        double kpa;
    };
    [[nodiscard]] std::optional<Rate> fastest_certain(double sign) const;
    [[nodiscard]] std::optional<Rate> rise_so_far(const std::optional<Settling>& settling) const;
    [[nodiscard]] std::optional<Rate> rate_over(base::Duration window, double noise_kpa, double sign) const;
    [[nodiscard]] double noise_kpa() const;

    std::deque<Point> points_;  ///< the last 130 minutes, at most 400: thinned when they come faster
    mutable std::optional<std::optional<Rate>> rising_, falling_;  ///< asked often between two readings
};

}  // namespace gyled::estimation::trend
