#pragma once
/// The energy balance of a vessel that is heated or chilled with steady power: dT/dt = p - k T - s f(T), with
/// p the power, k what goes through the wall and s what steams off an open surface, each over the heat
/// capacity; f is the vapour's share. Each loss that is thinkable, given back to the readings, leaves a
/// straight line, and the lines are weighed by how well they fit (Bayes' rule over a grid). Source: Newton's
/// law of cooling and the vapour pressure of water, any textbook of heat transfer. Pure; safe on any thread.

#include <optional>
#include <span>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/trend/learned_heat.hpp"

namespace gyled::estimation::trend {

/// A temperature, so long ago.
struct Seen {
    double hours_ago = 0;  ///< 0 or more
    double celsius = 0;
};

/// What is known beside the readings.
struct HeatKnowledge {
    double litres = 0;                  ///< of water, mash or wort; 0: not known
    std::optional<double> heater_kw{};  ///< on its mark; nothing: not known
    LearnedHeat learned{};
};

class HeatBalance {
public:
    /// Oldest first. `noise_c`: 1 sigma of one reading, degC, above 0. `warms`: the way it goes; what is
    /// known of losses and heater counts for warming, a coolant may be anything. Nothing with fewer than
    /// three readings, or when all are of one moment.
    [[nodiscard]] static std::optional<HeatBalance> of(std::span<const Seen> seen, double noise_c, bool warms,
                                                       const HeatKnowledge& known);

    /// Hours from now, the newest reading, until `target_c`: median and 90 % interval, whose end may be
    /// infinite. Nothing when it more likely than not levels off before, or moves away from it.
    [[nodiscard]] std::optional<base::Estimate> hours_to(double target_c) const;
    /// degC at which it ends, if nothing changes: median and 90 % interval. Nothing when it warms, where
    /// losses at the end are unknown.
    [[nodiscard]] std::optional<base::Estimate> levels_off_c() const;
    /// L, what would warm up as it does under `heater_kw`, all of which ends in liquor and losses: median and
    /// 90 % interval. Nothing when it does not warm.
    [[nodiscard]] std::optional<base::Estimate> litres_under(double heater_kw) const;
    /// What was known, and what this heat-up adds to it: Bayes' rule, some of it forgotten each time, for a
    /// lid may lie on it another day. As it was when the litres are not known, or it does not warm.
    [[nodiscard]] LearnedHeat taught() const;
    /// How far each reading lies off the likeliest curve, degC, in the order they came.
    [[nodiscard]] std::span<const double> off() const { return off_; }

private:
    /// One thinkable loss, degC per hour at a temperature, and the power that fits best with it.
    struct Curve {
        double wall = 0;          ///< 1/h
        double steam = 0;         ///< degC per hour, per kPa of vapour
        double weight = 0;        ///< share of belief in it
        double weight_blind = 0;  ///< the same without a look at the heater: whatever was filled in
        double wh_per_k = 0;      ///< of the contents that the loss was reckoned with; 0 when it cools
        statistics::Line line{};  ///< through the readings, what was lost since given back; 0 is now, hours
        double power_sigma = 0;   ///< of its slope, the power, degC per hour
        double middle_h = 0;      ///< the readings' middle, where power and level are told apart
        [[nodiscard]] double loss(double celsius, double vapour_kpa) const;
        /// Of the heater, W: what the wall loses is lost to the room.
        [[nodiscard]] double heater_w() const;
        [[nodiscard]] double now_c(double at_power) const { return line.at(middle_h) - at_power * middle_h; }
    };
    [[nodiscard]] static std::vector<Curve> thinkable(bool warms, double litres);
    [[nodiscard]] double log_belief_in_loss(std::size_t curve) const;
    [[nodiscard]] double log_belief_in_heater(std::size_t curve) const;
    [[nodiscard]] static std::vector<double> given_back(const Curve& curve, std::span<const Seen> seen,
                                                        std::span<const double> vapour);
    [[nodiscard]] const Curve& likeliest() const;
    [[nodiscard]] double now_c() const { return likeliest().line.level; }

    HeatKnowledge known_;
    std::vector<Curve> curves_;
    std::vector<double> off_;
};

}  // namespace gyled::estimation::trend
