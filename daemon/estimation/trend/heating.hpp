#pragma once
/// Heating and chilling: honest waiting times. When will the liquor, mash or wort reach its target? The
/// energy balance (heat_balance.hpp) through the longest stretch of readings that one curve goes through.

#include <deque>
#include <optional>
#include <utility>

#include "daemon/base/estimate.hpp"
#include "daemon/estimation/trend/heat_balance.hpp"

namespace gyled::estimation::trend {

/// Watches beer temperature and tells when a target will be met. Copyable; single-threaded. Bounded: some 12
/// kB.
class HeatingTrend {
public:
    HeatingTrend() = default;
    explicit HeatingTrend(HeatKnowledge known) : known_{std::move(known)} {}
    /// The vessel was filled or emptied; 0: not known.
    void set_litres(double litres) { known_.litres = litres; }
    /// What earlier heat-ups of this vessel taught; of another edition, or when it makes no sense, it counts
    /// for nothing.
    void set_learned(const LearnedHeat& learned);
    [[nodiscard]] const LearnedHeat& learned() const { return known_.learned; }
    /// A heat-up has come to its target: what it tells of the vessel is kept from now on. False, and nothing
    /// changes, when the litres are not known or it was too short.
    bool learn();

    /// In event-time order; older readings than the newest, and what is not finite, are ignored.
    void add(base::Timestamp at, double celsius);
    /// The clock was set by so much: what was seen keeps its age.
    void shift(base::Duration by);

    /// degC per hour over the last quarter of an hour, with its standard error; nothing without enough
    /// readings.
    struct Rate {
        double c_per_hour = 0;
        double sigma = 0;
        double level_c = 0;  ///< of the line, at the last reading
    };
    [[nodiscard]] std::optional<Rate> rate() const;
    /// The warmest reading of the last quarter of an hour, whatever has been poured in since; nothing without
    /// any.
    [[nodiscard]] std::optional<double> warmest_c() const;

    /// The moment at which `target_c` is reached, as Unix seconds with its 90 % interval, whose end may be
    /// infinite. Heating slows as the losses grow and chilling slows as the coolant's temperature is neared.
    /// In the first minutes, while there is no rate yet, a known heater's power and the volume foretell a
    /// rise: they tell how long it takes, not that the heater is on. Nothing when the temperature does not
    /// certainly move towards the target, when it is there already, or when it would level off before it.
    [[nodiscard]] std::optional<base::Estimate> time_to(double target_c) const;

    /// degC, above `target_c`, at which chilling ends if nothing changes: the coolant cannot do more. Nothing
    /// unless that is certain.
    [[nodiscard]] std::optional<base::Estimate> levels_off_above(double target_c) const;

    /// L, as which the contents warm up under the heater that was told of: what was really filled in, when
    /// the heater gives its mark. Nothing without a heater, or while it does not certainly warm.
    [[nodiscard]] std::optional<base::Estimate> heats_as_litres() const;

private:
    struct Point {
        base::Timestamp at;
        double celsius;
    };
    void note_warmest(base::Timestamp at, double celsius);
    /// Through the longest stretch up to now that one curve goes through.
    [[nodiscard]] std::optional<HeatBalance> balance(bool warms) const;
    [[nodiscard]] std::optional<base::Estimate> time_by_heater(double target_c) const;

    HeatKnowledge known_;
    std::deque<Point> points_;   ///< the last 40 minutes, thinned to at most 200
    std::deque<Point> falling_;  ///< of the last quarter of an hour, those that none later was as warm as
};

}  // namespace gyled::estimation::trend
