#pragma once
/// Belief as a fold over event time: what one grid step of a quarter of an hour makes of what was believed
/// before.

#include <optional>

#include "daemon/base/estimate.hpp"
#include "daemon/estimation/batch_inputs.hpp"
#include "daemon/estimation/gas/dissolved_gas.hpp"
#include "daemon/estimation/gravity/curve.hpp"

namespace gyled::estimation {

/// What was believed at one grid point.
struct EstimateSet {
    base::Timestamp at;
    base::Estimates estimates;
    friend bool operator==(const EstimateSet&, const EstimateSet&) = default;
};

/// Everything that is carried from one grid point to the next. A value: a copy is a snapshot, some 70 kB
/// however old the batch. Single-threaded; a step costs up to 20 ms, once an hour, and less than 1 ms else.
class Fold {
public:
    static constexpr base::Duration grid = std::chrono::minutes{15};

    /// At the last grid point not after the batch began.
    explicit Fold(const BatchInputs& inputs);

    /// One grid step. Looks at no input later than the step's end.
    EstimateSet step(const BatchInputs& inputs);
    /// Has nothing been read or measured for so long that nobody could know anything? That is 30 days; after
    /// such a time, half a day for each quarter of an hour with word since, up to that. Then a step
    /// believes nothing, and changes nothing until there is word again.
    [[nodiscard]] bool is_blind() const;
    /// All blind steps up to `last`, or to the next word, as one: as quick for years as for a day.
    /// Precondition: `is_blind`, and `last` lies on the grid, not before `at`.
    EstimateSet leap(const BatchInputs& inputs, base::Timestamp last);

    /// The clock was set forwards: `t`, on the grid, follows where belief stands, without time between.
    void pass_unseen(base::Timestamp t);

    [[nodiscard]] base::Timestamp at() const { return at_; }
    /// The same without the time that was passed unseen: by it one fold is older than another.
    [[nodiscard]] base::Timestamp lived_until() const { return at_ - unseen_; }
    [[nodiscard]] const gravity::GravityCurve& gravity() const { return gravity_; }
    [[nodiscard]] const gas::DissolvedGas& gas() const { return gas_; }
    [[nodiscard]] base::Pressure ambient() const { return ambient_; }  ///< of the air, as of the last step
    /// Where the vessel ends, shut now (gas/closing.hpp), as believed at the last step; `rise`: what its
    /// gauge has shown since.
    [[nodiscard]] base::Estimates closing(const BatchInputs& inputs, std::optional<gas::Rise> rise) const;

private:
    void enter(const BatchInputs& inputs, const StageEntry& stage);
    void begin_cold_side(const BatchInputs& inputs, const StageEntry& stage);
    void step_gravity(const BatchInputs& inputs, base::Timestamp from, const StageEntry& stage);
    void step_gas(const BatchInputs& inputs, base::Timestamp from, const StageEntry& stage);
    [[nodiscard]] std::optional<gas::Rise> rise(const BatchInputs& inputs) const;
    [[nodiscard]] base::Estimates gravity_of_finished_beer(const BatchInputs& inputs) const;

    base::Timestamp at_, heard_until_;
    base::Duration unseen_{};
    base::Duration runs_on_;  ///< so long does belief run on by itself
    gravity::GravityCurve gravity_;
    gas::DissolvedGas gas_;
    std::optional<double> beer_c_;
    base::Pressure ambient_;
    std::optional<base::Timestamp> stage_since_;
    std::size_t gravity_taken_ = 0, co2_taken_ = 0, purges_taken_ = 0,
                forced_taken_ = 0;  // told by hand, taken in so far
    bool was_blind_ = false;
    bool is_cold_side_ = false;
    bool ferments_ = true;  // the yeast went in under our eyes; else finished beer came into the vessel
};

/// The last grid point not after `t`.
[[nodiscard]] base::Timestamp grid_at_or_before(base::Timestamp t);

}  // namespace gyled::estimation
