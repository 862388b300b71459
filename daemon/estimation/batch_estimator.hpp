#pragma once
/// All that is believed of one running batch. Readings go in as they come, in any order; belief is a fold
/// over event time on a 15-minute grid, so that a live stream, a bulk upload, an import and a restart end in
/// the same numbers.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/stage.hpp"
#include "daemon/base/estimate.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gravity_curve.hpp"

namespace gyled::estimation {

/// A stage as the estimators need it.
struct StageEntry {
    base::Timestamp at;
    base::StageKind kind{};
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> head_pressure_kpa;  ///< set point, gauge
    std::optional<base::Band> temperature_c;
};

/// What is known of vessel and batch before the first reading. Pressures kPa gauge.
struct BatchContext {
    double total_volume_l = 0;
    double beer_volume_l = 0;
    double warmest_c = 25;                                     ///< for warm_pressure
    base::Pressure ambient = base::standard_atmosphere;  ///< from elevation; a barometer refines it
    GravityPrior gravity;
    std::optional<double> target_co2_volumes;
    std::vector<StageEntry> planned;   ///< stages that the plan gives a time, to foresee warmth and cold
    std::optional<double> relief_kpa;  ///< set pressure of the relief valve
};

struct Outlook {
    base::Timestamp at;
    base::Estimates estimates;
};

/// Thread: one. Cost: observe is O(1) for readings in order; advance is O(grid steps), a late reading rewinds
/// the fold to the last snapshot before it (snapshots every 6 h).
class BatchEstimator {
public:
    static constexpr base::Duration grid = std::chrono::minutes{15};

    BatchEstimator(BatchContext context, base::Timestamp started);
    ~BatchEstimator();
    BatchEstimator(BatchEstimator&&) noexcept;
    BatchEstimator& operator=(BatchEstimator&&) noexcept;

    /// An accepted reading: beer_temperature, gravity, head_pressure (gauge), barometric_pressure. Others are
    /// ignored.
    void observe(base::Quantity quantity, base::Timestamp at, double value);
    /// A reading taken by hand, canonical unit.
    void measure(base::Quantity quantity, base::Timestamp at, double value);
    /// Stages may be told in any order; each holds until the next one.
    void enter(StageEntry stage);

    /// Folds up to the last grid point not after `now` and returns what is new: the grid points passed, and
    /// earlier ones again where a late reading changed them.
    std::vector<Outlook> advance(base::Timestamp now);
    /// Has a late reading arrived that `advance` would take into account?
    [[nodiscard]] bool has_late_readings() const;

    [[nodiscard]] const Outlook& latest() const;
    [[nodiscard]] const std::vector<Fact>& facts() const;
    /// What this batch teaches the next one of its culture; nothing before it has finished.
    [[nodiscard]] std::optional<LearnedCurve> learned() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace gyled::estimation
