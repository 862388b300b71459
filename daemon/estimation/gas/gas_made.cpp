#include "daemon/estimation/gas/gas_made.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/estimation/gas/parameters.hpp"
#include "daemon/estimation/gas/particles.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr GasMadeParameters counting;

}  // namespace

double GasMade::volumes_in_all(double celsius, double dry_kpa) const {
    const auto gas = base::Pressure::from_kpa_absolute(dry_kpa);
    const brewing::SealedVessel vessel{context_.beer_volume_l, head_litres_of(context_)};
    return dry_kpa * (vessel.beer_factor * brewing::volumes_in_water_per_kpa(celsius, gas) +
                      1 / brewing::kpa_per_volume(vessel, {celsius, gas}));
}

void GasMade::take(const GasStep& step, bool shut, double dry_kpa) {
    if (!shut || !step.head_kpa) {
        span_.reset();
        unsettled_until_ = step.to + counting.settles_shut;
        return;
    }
    if (step.to < unsettled_until_.value_or(step.to)) return;
    const double now = volumes_in_all(step.beer_c, dry_kpa);
    if (!span_) span_ = Span{step.to, now, step.beer_c, 0, 0};
    span_->made = now - span_->volumes;
    span_->most = std::max(span_->most, span_->made);
    const bool lost = span_->made < span_->most - counting.lost_volumes;
    if (!lost && std::abs(step.beer_c - span_->celsius) <= counting.same_c) return;
    span_.reset();
    unsettled_until_ = step.to + counting.settles;
}

std::optional<GasMade::Made> GasMade::made() const {
    if (!span_) return std::nullopt;
    return Made{span_->since, span_->made};
}

}  // namespace gyled::estimation::gas
