#include "daemon/estimation/gas/head_space_gas.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/base/units.hpp"
#include "daemon/brewing/water.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr HeadSpaceParameters signal;

bool is_open_vent(const GasStep& step, GasPath path) {
    return path == GasPath::open && step.head_space == base::HeadSpace::vented;
}

/// Gauge pressure that counts. An open vent holds the air's pressure: what the transducer shows there is
/// noise.
double gauge_kpa(const GasStep& step, GasPath path) {
    if (is_open_vent(step, path)) return 0.0;
    if (step.head_kpa) return *step.head_kpa;
    return step.head_space == base::HeadSpace::vented ? 0.0 : step.set_kpa.value_or(0.0);
}

/// Nothing but an opening takes a vessel from pressure to the air's within five minutes.
bool is_let_off(std::optional<double> before_kpa, std::optional<double> now_kpa) {
    return before_kpa && now_kpa && *before_kpa >= signal.let_off_from_kpa &&
           *now_kpa <= signal.let_off_to_kpa;
}

}  // namespace

void HeadSpaceGas::take(const GasStep& step, GasPath path) {
    const bool open_vent = is_open_vent(step, path);
    if (!open_vent) learn_variance(step);
    const double dry_before = flow_.dry_kpa;
    const double vapour = brewing::vapour_pressure(step.beer_c).kpa_absolute();
    flow_.dry_kpa =
        std::max(signal.dry_min_kpa, step.ambient.kpa_absolute() + gauge_kpa(step, path) - vapour);
    const bool let_off = is_let_off(last_kpa_, step.head_kpa);
    flow_.leaves =
        path == GasPath::relieving || (path != GasPath::shut && step.head_space != base::HeadSpace::supplied);
    flow_.air_enters = open_vent;
    flow_.kept = let_off && !flow_.leaves ? std::min(1.0, flow_.dry_kpa / dry_before) : 1.0;
    flow_.air_kept = flow_.kept;
    follow_pressure(let_off);
    follow_temperature(step);
    before_last_kpa_ = last_kpa_;
    last_kpa_ = step.head_kpa;
}

/// Second differences leave out the trend.
void HeadSpaceGas::learn_variance(const GasStep& step) {
    if (!step.head_kpa || !last_kpa_ || !before_last_kpa_) return;
    const double bend = *step.head_kpa - 2 * *last_kpa_ + *before_last_kpa_;
    const double seen = std::min(signal.variance_max, bend * bend / signal.bend_per_variance);
    flow_.variance = std::clamp(signal.variance_memory * flow_.variance + (1 - signal.variance_memory) * seen,
                                signal.variance_min, signal.variance_max);
}

/// A play, as of a worn bearing: the pressure moves the books only when it goes further than noise does.
void HeadSpaceGas::follow_pressure(bool let_off) {
    const double play =
        let_off ? 0.0 : std::max(signal.play_min_kpa, signal.play_sigmas * std::sqrt(flow_.variance));
    flow_.still_before_kpa = gas_c_ ? flow_.still_kpa : flow_.dry_kpa;
    flow_.still_kpa = std::clamp(flow_.still_before_kpa, flow_.dry_kpa - play, flow_.dry_kpa + play);
}

void HeadSpaceGas::follow_temperature(const GasStep& step) {
    const double before_c = gas_c_.value_or(step.beer_c);
    gas_c_ = std::clamp(before_c, step.beer_c - signal.play_c, step.beer_c + signal.play_c);
    flow_.warmed = base::kelvin(*gas_c_) / base::kelvin(before_c);
}

std::optional<double> HeadSpaceGas::rise_to(std::optional<double> head_kpa) const {
    if (!head_kpa || !last_kpa_) return std::nullopt;
    return *head_kpa - *last_kpa_;
}

}  // namespace gyled::estimation::gas
