#include "daemon/alarms/just_shut.hpp"

#include <cmath>
#include <numbers>

#include "daemon/alarms/evidence.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::alarms {
namespace {

using namespace std::chrono_literals;

struct JustShutParameters {
    /// Of readings each minute: then 5 kPa an hour stand out of any noise. Yeast that eats a quarter of a
    /// point an hour raises it by 8 kPa meanwhile, and comes to no harm.
    Duration gauge_tells_after = 12min;
    Duration waits = 24h;   ///< so long the gauge may tell (simulation)
    double probable = 0.3;  ///< nobody is called for less while the gauge may still tell (simulation)
    double possible = 0.1;  ///< afterwards (simulation)
};
constexpr JustShutParameters parameters;

/// Sealed by word, so long ago at the most, and its gauge is heard.
bool was_shut_within(const Situation& now, Duration span) {
    return now.head_space == base::HeadSpace::sealed && now.stage_since && now.at - *now.stage_since < span &&
           current(now, base::Quantity::head_pressure);
}

/// The share of a belief that lies above: normal on either side of its middle.
double share_above(const base::Estimate& belief, double limit) {
    const double half = limit > belief.value ? belief.high - belief.value : belief.value - belief.low;
    if (!(half > 0)) return belief.value > limit ? 1 : 0;
    const double sigmas = estimation::statistics::sigmas_of_90_percent * (limit - belief.value) / half;
    return std::erfc(sigmas / std::numbers::sqrt2) / 2;
}

}  // namespace

bool gauge_is_yet_to_tell(const Situation& now) {
    return was_shut_within(now, parameters.gauge_tells_after);
}

Priority outlook_urgency(const Situation& now, const base::Estimate& end_kpa, double limit_kpa) {
    const double most = was_shut_within(now, parameters.waits) ? parameters.probable : parameters.possible;
    return share_above(end_kpa, limit_kpa) > most ? Priority::high : Priority::medium;
}

}  // namespace gyled::alarms
