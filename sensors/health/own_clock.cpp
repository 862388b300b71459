#include "sensors/health/own_clock.hpp"

#include <algorithm>

#include "sensors/plausibility/event_time.hpp"

namespace gyled::sensors {
namespace {

bool is_corrected(const OwnClock& clock, Timestamp own) {
    return clock.from && own >= *clock.from && (!clock.until || own <= *clock.until);
}

/// A time zone is a multiple of a quarter of an hour; what is near one is one.
Duration rounded(Duration late, const OwnClockParameters& with) {
    const Duration zone = (late + with.zone / 2) / with.zone * with.zone;
    return std::chrono::abs(late - zone) <= with.zone_within ? zone : late;
}

bool is_equally_late(const OwnClock& clock, Duration late, const OwnClockParameters& with) {
    return clock.equally_late > 0 && std::chrono::abs(late - clock.late) <= with.agreement;
}

void begin(OwnClock& clock, Timestamp own, Timestamp arrived) {
    clock.equally_late = 1;
    clock.late = arrived - own;
    clock.first_own = own;
    clock.first_arrived = arrived;
}

bool is_live(const OwnClock& clock, Timestamp own, Timestamp arrived, const OwnClockParameters& with) {
    const auto span = static_cast<double>((arrived - clock.first_arrived).count());
    return span > 0 && span >= with.live_least * static_cast<double>((own - clock.first_own).count());
}

bool is_decided(const OwnClock& clock, Timestamp arrived, const OwnClockParameters& with) {
    const Duration span = arrived - clock.first_arrived;
    if (clock.equally_late < with.messages_needed || span < with.span_needed) return false;
    const auto interval = static_cast<double>(span.count()) / (clock.equally_late - 1);
    return static_cast<double>(clock.late.count()) > with.intervals_late * interval;
}

/// An old message that is not as late as the ones before it: less late, it catches up; later and later within
/// a moment, it is a backlog told backwards; else the first of what comes.
Lateness lateness_of_another(const OwnClock& clock, Timestamp own, Timestamp arrived,
                             const OwnClockParameters& with) {
    if (clock.equally_late == 0) return Lateness::unproven;
    const bool catches_up = own - clock.last_own > arrived - clock.last_arrived;
    return catches_up || arrived - clock.last_arrived < with.burst ? Lateness::backlog : Lateness::unproven;
}

void decide(OwnClock& clock, Timestamp own, const OwnClockParameters& with) {
    clock.behind = rounded(clock.late, with);
    clock.from = own;
    clock.until.reset();
    clock.equally_late = 0;
}

Lateness take_old(OwnClock& clock, Timestamp own, Timestamp arrived, const OwnClockParameters& with) {
    if (!is_equally_late(clock, arrived - own, with)) {
        const Lateness lateness = lateness_of_another(clock, own, arrived, with);
        begin(clock, own, arrived);
        return lateness;
    }
    ++clock.equally_late;
    clock.late = std::min(clock.late, arrived - own);
    if (!is_live(clock, own, arrived, with)) return Lateness::backlog;
    if (is_decided(clock, arrived, with)) decide(clock, own, with);
    return Lateness::live;
}

Dated date_any(OwnClock& clock, Timestamp own, Timestamp arrived, const OwnClockParameters& with) {
    Timestamp at = is_corrected(clock, own) ? own + clock.behind : own;
    if (clock.from && !clock.until && at > arrived + clock_tolerance) {  // it has been set right
        clock.until = clock.last_own;
        at = own;
    }
    clock.ahead = at > arrived + clock_tolerance ? at - arrived : Duration{};
    if (arrived - at > with.fresh) {
        const Lateness lateness = take_old(clock, own, arrived, with);
        return {is_corrected(clock, own) ? own + clock.behind : own, lateness};
    }
    clock.equally_late = 0;
    return {at, Lateness::none};
}

}  // namespace

Dated date(OwnClock& clock, Timestamp own, Timestamp arrived, const OwnClockParameters& with) {
    const Dated dated = date_any(clock, own, arrived, with);
    clock.last_own = own;
    clock.last_arrived = arrived;
    return dated;
}

std::optional<Duration> clock_off(const OwnClock& clock) {
    if (clock.ahead > Duration{}) return -clock.ahead;
    if (clock.from && !clock.until) return clock.behind;
    return std::nullopt;
}

}  // namespace gyled::sensors
