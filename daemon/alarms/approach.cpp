#include "daemon/alarms/approach.hpp"

#include <cmath>

#include "daemon/alarms/evidence.hpp"

namespace gyled::alarms {
namespace {

double distance(double value, const base::Band& band) {
    if (value > band.high) return value - band.high;
    return value < band.low ? value - band.low : 0.0;
}

Duration time_to_reach_temperature(base::StageKind stage, const ApproachParameters& p) {
    using enum base::StageKind;
    switch (stage) {
        case strike:
        case clean:
        case rinse:
        case sanitise:
            return p.strike;
        case mash:
        case mash_out:
        case sparge:
            return p.mash;
        case boil:
        case chill:
            return p.boil;
        case ferment:
            return p.ferment;
        case rest:
        case carbonate:
        case serve:
        case purge:
        case tightness:
            return p.slow;
        case crash:
        case condition:
            return p.cold;
    }
    return p.ferment;
}

struct Way {
    Duration patience;   ///< after this long it should have arrived
    double moving_away;  ///< further from the band by this than it was: not on its way
};

/// Notes where the value stands; says whether it has arrived, crossed the band or turned away.
bool has_ended(ApproachState& state, double now, double moving_away) {
    const double nearest = state.nearest.value_or(now);
    const bool crossed = (now > 0) != (nearest > 0);
    const bool moves_away = std::abs(now) > std::abs(nearest) + moving_away;
    state.nearest = std::abs(now) < std::abs(nearest) ? now : nearest;
    return now == 0 || crossed || moves_away;
}

bool is_on_its_way(ApproachState& state, const Situation& now, const std::optional<base::Band>& band,
                   base::Quantity quantity, bool was_due, const Way& way) {
    if (!band || !now.stage_since) return false;
    if (state.stage_since != now.stage_since)
        state = {.stage_since = now.stage_since, .nearest = {}, .arrived = was_due};
    if (state.arrived || now.at - *now.stage_since > way.patience) return false;
    if (const auto latest = current(now, quantity))
        state.arrived = has_ended(state, distance(latest->value, *band), way.moving_away);
    return !state.arrived;
}

}  // namespace

bool temperature_is_on_its_way(ApproachState& state, const Situation& now, bool was_due,
                               const ApproachParameters& p) {
    return now.stage && is_on_its_way(state, now, now.temperature_band_c, base::Quantity::beer_temperature,
                                      was_due, {time_to_reach_temperature(*now.stage, p), p.moving_away_c});
}

bool pressure_is_on_its_way(ApproachState& state, const Situation& now, bool was_due,
                            const ApproachParameters& p) {
    return now.stage && is_on_its_way(state, now, now.pressure_band_kpa, base::Quantity::head_pressure,
                                      was_due, {p.pressure, p.moving_away_kpa});
}

}  // namespace gyled::alarms
