#pragma once
/// The one answer to "is this reading still news?": learnt from how often its sensor speaks, used by rules,
/// sentence, page and dashboards alike.

#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::base {

/// What decides how long a sensor may be silent. Chosen so that a sensor that speaks every hour and misses
/// one report is not called silent, and one that speaks each minute is missed within ten minutes.
struct FreshnessParameters {
    double intervals = 2.5;  ///< usual intervals without a word; one lost report is ordinary
    Duration least =
        std::chrono::minutes{10};            ///< never less: networks and naps of a few minutes are ordinary
    Duration most = std::chrono::hours{12};  ///< never more: a day without a word is silence for any sensor
    Duration unlearnt = std::chrono::minutes{45};                 ///< before the cadence is known
    Duration unlearnt_under_pressure = std::chrono::minutes{10};  ///< likewise, of a shut vessel's gauge:
                                                                  ///< near pressure, silence is news
    int learnt_from = 4;  ///< intervals seen before the cadence is believed
    double weight = 0.1;  ///< of a new interval in the running mean, once learnt
};

/// How often a sensor speaks: a running mean of the intervals between its own times. Plain: a part of the
/// stored memory. Event time in, order of time assumed; an older reading teaches nothing.
struct Cadence {
    int intervals = 0;        ///< seen so far; stops counting at `learnt_from`
    double mean_seconds = 0;  ///< usual interval
    std::optional<Timestamp> last;
    friend bool operator==(const Cadence&, const Cadence&) = default;

    void note(Timestamp at, const FreshnessParameters& parameters = {});
    /// After so long without a word it is silent.
    [[nodiscard]] Duration silent_after(const FreshnessParameters& parameters = {}) const;
};

}  // namespace gyled::base
