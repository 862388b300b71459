#pragma once
/// How the running batch gets to its volumes of CO2: by a regulator set once, by a quicker way that never
/// exceeds what the lowest rated part bears, or by shutting a spunding valve on the last of the ferment.
/// Answers carry the doubt of the belief they begin with. **The relief valve protects, this does not.**
///
/// Pure; any thread; some tenths of a second. Pressures kPa gauge, temperatures degC, CO2 in volumes.

#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/plan.hpp"
#include "daemon/display/display.hpp"
#include "daemon/estimation/foresight.hpp"

namespace gyled::batch {

struct CarbonationAsked {
    double target_volumes = 0;
    std::optional<double> celsius;  ///< that the beer is brought to; nothing: as it is
};

/// A step of a plan: from when, and what to do.
struct CarbonationStep {
    base::Timestamp at;
    double set_kpa = 0;
    std::string text;
};

struct CarbonationWay {
    std::vector<CarbonationStep> steps;
    base::Estimate ready;  ///< Unix seconds; `high` +infinity: not within two weeks
    std::vector<estimation::Foreseen> course;
    std::string overshoot;  ///< what it would come to if forgotten; empty: nothing
};

struct CarbonationPlan {
    std::optional<CarbonationWay> set_and_wait, faster;
    std::vector<std::string> spunding;  ///< sentences; empty when there is nothing left to ferment
    std::vector<std::string> refused;   ///< why not, with what would do
    std::vector<std::string> cautions;
};

struct CarbonationParameters {
    base::Duration looked_ahead =
        std::chrono::hours{24 * 14};  ///< a still head space takes 5 to 14 days (common practice)
    double within_volumes = 0.05;     ///< of the target: nobody tastes less
    double worth_kpa = 15;            ///< by less, a higher pressure is not worth the trouble
    double highest_share = 0.9;  ///< of what the lowest rated part bears: regulators creep (API 520 practice
                                 ///< for spring valves, recalled)
    base::Duration least =
        std::chrono::hours{2};     ///< under the higher pressure: less is not worth the trouble
    double points_left_least = 1;  ///< gravity points: with fewer left there is nothing to shut in
};

[[nodiscard]] CarbonationPlan plan_carbonation(const CarbonationAsked& asked,
                                               const estimation::Foresight& belief, const VesselSpec& vessel,
                                               const display::Display& display,
                                               const CarbonationParameters& parameters = {});

}  // namespace gyled::batch
