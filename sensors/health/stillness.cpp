#include "sensors/health/stillness.hpp"

#include <cmath>

namespace gyled::sensors {
namespace {

/// The present run is over: it becomes habit, and older habits fade.
void close_run(Stillness& stillness, double pairs_remembered) {
    const double new_pairs = stillness.run + 1;  // its repeats, and the change that ended it
    const double faded = std::pow(1 - 1 / pairs_remembered, new_pairs);
    stillness.pairs = faded * stillness.pairs + new_pairs;
    stillness.repeats = faded * stillness.repeats + stillness.run;
    stillness.run = 0;
}

}  // namespace

void note(Stillness& stillness, const Past& reading, const StillnessParameters& with) {
    if (!stillness.since) {
        stillness.since = reading;
    } else if (reading.at <= stillness.until) {
        return;
    } else if (reading.value == stillness.since->value) {
        ++stillness.run;
    } else {
        close_run(stillness, with.pairs_remembered);
        stillness.since = reading;
    }
    stillness.until = reading.at;
}

std::optional<Timestamp> stuck_since(const Stillness& stillness, const StillnessParameters& with) {
    if (!stillness.since || stillness.pairs < with.pairs_needed) return std::nullopt;
    if (stillness.run < with.run_least || stillness.until - stillness.since->at < with.least)
        return std::nullopt;
    // Laplace's rule: one pair of each kind beside those seen, so that "never" is not taken for "impossible".
    const double share = (stillness.repeats + 1) / (stillness.pairs + 2);
    if (share > with.repeats_lively_most) return std::nullopt;
    if (stillness.run * std::log(share) > std::log(with.chance)) return std::nullopt;
    return stillness.since->at;
}

}  // namespace gyled::sensors
