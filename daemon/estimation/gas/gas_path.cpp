#include "daemon/estimation/gas/gas_path.hpp"

#include <cmath>

namespace gyled::estimation::gas {
namespace {

using base::HeadSpace;

std::optional<double> known(std::optional<double> value) {
    return value && std::isfinite(*value) ? value : std::nullopt;
}

bool has_set_point(HeadSpace mode) {
    return mode == HeadSpace::spunded || mode == HeadSpace::supplied;
}

/// A relief valve may open as far below its mark as its making allows, and seats lower still.
bool may_relieve(const GasPathEvidence& e, double kpa, const GasPathParameters& p) {
    if (const auto seats = known(e.relief_seats_kpa); seats && kpa >= *seats - p.relief_seats_within_kpa)
        return true;
    const auto mark = known(e.relief_kpa);
    return mark && *mark > 0 && kpa >= *mark - brewing::set_tolerance_kpa(*mark);
}

bool is_above_set_point(double kpa, double set_kpa, const GasPathParameters& p) {
    return kpa > set_kpa + p.above.of(set_kpa);
}

GasPath path_of_spunding(const GasPathEvidence& e, double kpa, const GasPathParameters& p) {
    const double set = known(e.set_kpa).value_or(0);
    if (kpa < set - p.spunding_below.of(set)) return GasPath::shut;
    return known(e.set_kpa) && is_above_set_point(kpa, set, p) ? GasPath::shut : GasPath::held;
}

GasPath path_of_supply(const GasPathEvidence& e, double kpa, const GasPathParameters& p) {
    const auto set = known(e.set_kpa);
    if (!set) return GasPath::held;
    if (is_above_set_point(kpa, *set, p)) return GasPath::shut;
    if (kpa >= *set - p.supply_below.of(*set)) return GasPath::held;
    return known(e.rise_kpa).value_or(0) > p.supply_rise_kpa ? GasPath::open : GasPath::shut;
}

/// Without a transducer the plan is believed.
GasPath path_as_planned(HeadSpace mode) {
    if (mode == HeadSpace::sealed) return GasPath::shut;
    return has_set_point(mode) ? GasPath::held : GasPath::open;
}

}  // namespace

GasPath gas_path(const GasPathEvidence& e, const GasPathParameters& p) {
    const auto kpa = known(e.head_kpa);
    if (!kpa) return path_as_planned(e.head_space);
    if (may_relieve(e, *kpa, p)) return GasPath::relieving;
    switch (e.head_space) {
        case HeadSpace::vented:
            return *kpa > p.vent_holds_kpa ? GasPath::shut : GasPath::open;
        case HeadSpace::spunded:
            return path_of_spunding(e, *kpa, p);
        case HeadSpace::supplied:
            return path_of_supply(e, *kpa, p);
        case HeadSpace::sealed:
            break;
    }
    return GasPath::shut;
}

bool rise_ends_at_set_point(const GasPathEvidence& e, const GasPathParameters& p) {
    const auto kpa = known(e.head_kpa);
    const auto set = known(e.set_kpa);
    const auto limit = known(e.limit_kpa);
    if (!has_set_point(e.head_space) || !kpa || !set || !limit || may_relieve(e, *kpa, p)) return false;
    return *set <= p.working_share_max * *limit && !is_above_set_point(*kpa, *set, p);
}

}  // namespace gyled::estimation::gas
