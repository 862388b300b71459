#pragma once
/// Batches whose truth is known, as the gravity estimator meets them: a bin each quarter of an hour.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/stage.hpp"
#include "daemon/estimation/gravity_curve.hpp"
#include "sensors/virtual_vessel/plant/scenario.hpp"

namespace gyled::estimation::worlds {

struct Quarter {
    std::optional<double> beer_c;
    std::optional<GravityBin> bin;
    double true_sg = 1.0;
    base::StageKind stage = base::StageKind::ferment;
};

struct World {
    std::string family;
    std::uint64_t seed = 0;
    GravityPrior prior;
    base::Timestamp pitched{};
    std::vector<Quarter> quarters;         ///< the first ends a quarter of an hour after pitching
    std::vector<PlannedTemperature> plan;  ///< what the brewer means to do; empty: not told
    double original_sg = 1.05;             ///< true
    double terminal_sg = 1.01;             ///< true gravity at the end
    std::optional<double> stopped_h;       ///< when a stuck one stopped
    std::optional<double> creeps_h;        ///< when a creeping one began again

    [[nodiscard]] base::Timestamp time_of(std::size_t quarter) const {
        return pitched + std::chrono::minutes{15} * static_cast<long>(quarter + 1);
    }
    [[nodiscard]] static double hour_of(std::size_t quarter) {
        return 0.25 * static_cast<double>(quarter + 1);
    }
    /// First hour within `distance` of the terminal gravity for good.
    [[nodiscard]] double hour_within(double distance) const;
    /// First hour at which this share of the whole drop is done.
    [[nodiscard]] double hour_of_share(double share) const;
};

/// From the virtual vessel, with a measured original gravity and an expectation, neither of them perfect.
[[nodiscard]] World from_vessel(const virtual_vessel::Scenario& scenario);

/// Worlds of other forms than any that the estimator fits: two sugars eaten first-order by logistically
/// growing yeast, or Gompertz's curve, with cardinal temperatures, a sensor that wanders, and troubles by
/// name: "ale", "lager", "mixed", "stuck", "crash", "creep", "outages", "drift", "outliers", "warm".
[[nodiscard]] World foreign(std::string_view kind, std::uint64_t seed);

}  // namespace gyled::estimation::worlds
