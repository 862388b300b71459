#include "daemon/batch/stage_clock.hpp"

namespace gyled::batch {
namespace {

using Direction = StageClock::Direction;
using When = StageEnd::When;

bool is_within(const std::optional<Band>& band, const std::optional<double>& beer_c) {
    return band && beer_c && *beer_c >= band->low && *beer_c <= band->high;
}

Direction towards(double target_c, double beer_c) {
    return beer_c > target_c ? Direction::falling : Direction::rising;
}

}  // namespace

StageClock advanced(StageClock clock, const StagePlan& stage, const StageEvidence& evidence,
                    const StageClockParameters& parameters) {
    if (clock.direction == Direction::unknown && stage.end.temperature_c && evidence.beer_c)
        clock.direction = towards(*stage.end.temperature_c, *evidence.beer_c);
    if (!evidence.beer_c)
        return clock;  // nobody looked: what was seen last stands until the silence is too long
    const bool inside = is_within(stage.temperature_c, evidence.beer_c);
    if (inside && clock.in_band_seen && evidence.now - *clock.in_band_seen <= parameters.bridged)
        clock.in_band += evidence.now - *clock.in_band_seen;
    clock.in_band_seen = inside ? std::optional{evidence.now} : std::nullopt;
    return clock;
}

bool end_met(const StageClock& clock, const StagePlan& stage, const StageEvidence& evidence) {
    switch (stage.end.when) {
        case When::by_hand:
            return false;
        case When::temperature_reached:
            if (!stage.end.temperature_c || !evidence.beer_c) return false;
            if (clock.direction == Direction::falling) return *evidence.beer_c <= *stage.end.temperature_c;
            return clock.direction == Direction::rising && *evidence.beer_c >= *stage.end.temperature_c;
        case When::time_in_band:
            return stage.end.duration && stage.temperature_c && clock.in_band >= *stage.end.duration;
        case When::terminal_gravity:
            return evidence.finished;
        case When::carbonated:
            return evidence.carbonated;
    }
    return false;
}

}  // namespace gyled::batch
