#include "daemon/alarms/approach.hpp"

#include <cmath>

namespace gyled::alarms {
namespace {

double distance(double value, const base::Band& band) {
    if (value > band.high) return value - band.high;
    return value < band.low ? value - band.low : 0.0;
}

}  // namespace

bool Approach::on_its_way(const Look& look) {
    if (stage_since_ != look.stage_since) {
        stage_since_ = look.stage_since;
        nearest_.reset();
        arrived_ = look.alarm_stands;
    }
    if (arrived_ || look.at - look.stage_since > look.patience) return false;
    if (!look.value) return true;
    const double now = distance(*look.value, look.band);
    if (!nearest_) nearest_ = now;
    const bool crossed = (now > 0) != (*nearest_ > 0);
    const bool moves_away = std::abs(now) > std::abs(*nearest_) + look.moving_away;
    arrived_ = now == 0 || crossed || moves_away;
    if (std::abs(now) < std::abs(*nearest_)) nearest_ = now;
    return !arrived_;
}

// Common practice at 20 to 60 L with a heating element or a glycol jacket; in an ambient-cooled vessel a
// crash takes two days. Pitched beer should be there at once: two hours bear a little warm pitching.
base::Duration time_to_reach_temperature(base::StageKind stage) {
    using namespace std::chrono_literals;
    using enum base::StageKind;
    switch (stage) {
        case strike:
            return 3h;
        case mash:
        case mash_out:
        case sparge:
            return 45min;
        case boil:
        case chill:
        case ferment:
            return 2h;
        case rest:
        case carbonate:
        case serve:
            return 24h;
        case crash:
        case condition:
            return 48h;
    }
    return 2h;
}

}  // namespace gyled::alarms
