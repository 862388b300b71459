#pragma once
/// All that a batch's estimates follow from. The same inputs give the same estimates, in whatever order they
/// came. Plain values. Pressures kPa gauge unless said, temperatures degC, gravities SG 20/20.

#include <optional>
#include <vector>

#include "daemon/base/pressure.hpp"
#include "daemon/base/quantity.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"
#include "daemon/estimation/gas/uptake.hpp"
#include "daemon/estimation/gravity/prior.hpp"
#include "daemon/estimation/series.hpp"

namespace gyled::estimation {

/// A stage as the estimators need it.
struct StageEntry {
    base::Timestamp at;
    base::StageKind kind{};
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> head_pressure_kpa;  ///< set point, gauge
    std::optional<base::Band> temperature_c;
    friend bool operator==(const StageEntry&, const StageEntry&) = default;
};

/// What is known of vessel and batch before the first reading.
struct BatchContext {
    double total_volume_l = 0;
    double beer_volume_l = 0;
    double warmest_c = 25;                               ///< for warm_pressure
    double coldest_c = 1;                                ///< for crash_pressure
    base::Pressure ambient = base::standard_atmosphere;  ///< from elevation; a barometer refines it
    GravityPrior gravity;
    std::optional<double> target_co2_volumes;
    std::vector<StageEntry> planned;   ///< stages that the plan gives a time, to foresee warmth and cold
    std::optional<double> relief_kpa;  ///< set pressure of the relief valve
    std::optional<double> lowest_rated_kpa;      ///< what the lowest rated part bears
    std::optional<gas::LearnedUptake> uptake{};  ///< what batches before taught of the vessel
};

/// A measurement taken by hand, in the quantity's canonical unit.
struct HandReading {
    base::Timestamp at;
    double value = 0;
    friend bool operator==(const HandReading&, const HandReading&) = default;
};

struct BatchInputs {
    BatchContext context;
    base::Timestamp started;
    BinnedSeries beer_temperature{BinnedSeries::Detail::five_minutes};
    BinnedSeries head_pressure{BinnedSeries::Detail::five_minutes};
    BinnedSeries gravity{BinnedSeries::Detail::quarters};
    BinnedSeries barometric_pressure{BinnedSeries::Detail::quarters};
    std::vector<HandReading> hand_gravity{};     ///< in order of time
    std::vector<HandReading> hand_co2{};         ///< likewise
    std::vector<HandReading> hand_pressure{};    ///< likewise; kPa gauge
    std::vector<HandReading> purges{};           ///< likewise; cycles
    std::vector<HandReading> forced_ferments{};  ///< likewise; SG at which each sample ended
    std::vector<StageEntry> stages{};            ///< likewise

    /// The stage at a moment; nothing before the first.
    [[nodiscard]] const StageEntry* stage_at(base::Timestamp t) const;
    /// Was anything read or measured in the quarter of an hour that begins at `from`?
    [[nodiscard]] bool says_something(base::Timestamp from) const;
    /// ... by hand?
    [[nodiscard]] bool says_by_hand(base::Timestamp from) const;
    /// The first quarter of an hour, from the one that begins at `from` on, in which anything was; nothing
    /// when there is none.
    [[nodiscard]] std::optional<base::Timestamp> next_word(base::Timestamp from) const;
    /// The clock was set back to `now`: forgets what was read at moments that are yet to come.
    void forget_after(base::Timestamp now);
};

}  // namespace gyled::estimation
