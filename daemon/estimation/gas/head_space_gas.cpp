#include "daemon/estimation/gas/head_space_gas.hpp"

#include <algorithm>

#include "daemon/base/units.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/water.hpp"
#include "daemon/estimation/gas/parameters.hpp"
#include "daemon/estimation/gas/particles.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr HeadSpaceParameters signal;

/// Gauge pressure that counts. An open vent holds the air's pressure: what the transducer shows there is
/// noise.
double gauge_kpa(const GasStep& step, bool shut) {
    const bool vented = step.head_space == base::HeadSpace::vented;
    if (step.head_kpa && (shut || !vented)) return *step.head_kpa;
    return vented ? 0.0 : step.set_kpa.value_or(0.0);
}

}  // namespace

void HeadSpaceGas::take(const GasStep& step, bool shut) {
    learn_variance(step, shut);
    const double vapour = brewing::vapour_pressure(step.beer_c).kpa_absolute();
    dry_kpa_ = std::max(signal.dry_min_kpa, step.ambient.kpa_absolute() + gauge_kpa(step, shut) - vapour);
    if (!air_kpa_) air_kpa_ = context_.start == GasContext::Start::wort ? dry_kpa_ : 0.0;
    if (gas_c_)
        warm(step, shut);
    else
        gas_c_ = step.beer_c;
    before_last_kpa_ = last_kpa_;
    last_kpa_ = step.head_kpa;
}

/// Second differences leave out the trend.
void HeadSpaceGas::learn_variance(const GasStep& step, bool shut) {
    if (!shut || !step.head_kpa || !last_kpa_ || !before_last_kpa_) return;
    const double bend = *step.head_kpa - 2 * *last_kpa_ + *before_last_kpa_;
    const double seen = std::min(signal.variance_max, bend * bend / signal.bend_per_variance);
    variance_ = std::clamp(signal.variance_memory * variance_ + (1 - signal.variance_memory) * seen,
                           signal.variance_min, signal.variance_max);
}

/// The gas has another temperature: behind an open vent what it lacks comes in as air, and what is too much
/// goes out mixed.
void HeadSpaceGas::warm(const GasStep& step, bool shut) {
    const double before_c = *gas_c_;
    *gas_c_ += signal.temperature_memory * (step.beer_c - before_c);
    const double ratio = base::kelvin(*gas_c_) / base::kelvin(before_c);
    const double air = *air_kpa_ * ratio;
    const double co2 = co2_kpa_ * ratio;
    const bool vented = !shut && step.head_space == base::HeadSpace::vented;
    if (air + co2 > dry_kpa_)
        air_kpa_ = shut ? std::min(air, dry_kpa_) : air * dry_kpa_ / (air + co2);
    else
        air_kpa_ = vented ? dry_kpa_ - co2 : air;
}

void HeadSpaceGas::mix(const GasStep& step, bool shut, double given_off) {
    const bool vented = step.head_space == base::HeadSpace::vented;
    if (!shut && (vented || step.head_space == base::HeadSpace::spunded)) {
        const brewing::SealedVessel vessel{context_.beer_volume_l, head_litres_of(context_)};
        const double per_volume =
            brewing::kpa_per_volume(vessel, {step.beer_c, base::Pressure::from_kpa_absolute(dry_kpa_)});
        const double co2 = std::max(0.0, dry_kpa_ - *air_kpa_ + given_off * per_volume);
        const double total = co2 + *air_kpa_;
        if (total > dry_kpa_)
            air_kpa_ = *air_kpa_ * dry_kpa_ / total;
        else if (vented)
            air_kpa_ = dry_kpa_ - co2;
    }
    air_kpa_ = std::min(*air_kpa_, dry_kpa_);
    co2_kpa_ = dry_kpa_ - *air_kpa_;
}

double HeadSpaceGas::co2_kpa() const {
    return std::max(signal.co2_min_kpa, dry_kpa_ - air_kpa());
}

std::optional<double> HeadSpaceGas::rise_to(std::optional<double> head_kpa) const {
    if (!head_kpa || !last_kpa_) return std::nullopt;
    return *head_kpa - *last_kpa_;
}

}  // namespace gyled::estimation::gas
