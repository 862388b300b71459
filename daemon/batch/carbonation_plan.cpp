#include "daemon/batch/carbonation_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/batch/plate.hpp"
#include "daemon/brewing/packaging.hpp"
#include "daemon/brewing/solubility.hpp"

namespace gyled::batch {
namespace {

using base::HeadSpace;
using base::Quantity;
using base::Timestamp;
using estimation::Foreseen;
using estimation::Hypothesis;

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double sg_per_point = 0.001;
constexpr base::Duration shut_in = std::chrono::hours{2};  ///< that a gauge needs to tell the uptake
constexpr base::Duration let_off = std::chrono::minutes{15};

/// The first moment at which one end of the belief has come to so many volumes;
/// seconds.
double when(const std::vector<Foreseen>& course, double volumes, double base::Estimate::*end) {
    const auto there = std::ranges::find_if(
        course, [&](const Foreseen& f) { return f.estimates.at(Quantity::co2_volumes).*end >= volumes; });
    return there == course.end() ? infinite : base::unix_seconds(there->at);
}

class Planner {
public:
    Planner(const CarbonationAsked& asked, const estimation::Foresight& belief, const VesselSpec& vessel,
            const display::Display& display, const CarbonationParameters& parameters)
        : asked_{asked}, belief_{belief}, vessel_{vessel}, display_{display}, parameters_{parameters} {}

    [[nodiscard]] CarbonationPlan plan() {
        const auto now = belief_.now();
        const auto celsius = belief_.beer_c();
        const auto bearable = highest_set_kpa(vessel_);
        if (!now.contains(Quantity::co2_volumes) || !celsius)
            return refuse("Nobody could know: it needs beer temperature and head pressure.");
        if (!bearable)
            return refuse(
                "What the vessel bears is not known: the configuration names neither its working pressure "
                "nor a relief valve.");
        celsius_ = asked_.celsius.value_or(*celsius);
        bearable_kpa_ = *bearable;
        volumes_now_ = now.at(Quantity::co2_volumes);
        set_kpa_ = set_for(celsius_);
        if (volumes_now_.low > asked_.target_volumes + parameters_.within_volumes)
            return refuse(fmt::format("It holds {} already ({} to {}): vent it, and give it time.",
                                      volumes(volumes_now_.value), volumes(volumes_now_.low),
                                      volumes(volumes_now_.high)));
        by_regulator();
        by_spunding(*celsius);
        plan_.cautions = {
            "Where the regulator is set counts, not where it was: gauges of regulators are off by 0.1 bar, "
            "and old ones creep. Watch the vessel's own gauge for the first hours.",
            "CO2 kills in closed rooms: air the cellar, and keep a CO2 monitor in it."};
        return plan_;
    }

private:
    [[nodiscard]] CarbonationPlan refuse(std::string why) {
        plan_.refused.push_back(std::move(why));
        return plan_;
    }
    [[nodiscard]] std::string pressure(double kpa) const {
        return display_.text(Quantity::head_pressure, kpa);
    }
    [[nodiscard]] std::string volumes(double v) const { return display_.text(Quantity::co2_volumes, v); }
    [[nodiscard]] std::string temperature(double c) const {
        return display_.text(Quantity::beer_temperature, c);
    }
    [[nodiscard]] double set_for(double celsius) const {
        return brewing::pressure_for_volumes(celsius, asked_.target_volumes).kpa_gauge(belief_.ambient());
    }
    [[nodiscard]] double held_at(double kpa, double celsius) const {
        return brewing::volumes_in_beer(celsius, base::Pressure::from_kpa_gauge(kpa, belief_.ambient()));
    }

    /// Until one end of the belief has come to so many volumes.
    [[nodiscard]] std::vector<Foreseen> under(std::vector<Hypothesis::Valve> valves,
                                              double base::Estimate::*end, double volumes_wanted) const {
        Hypothesis hypothesis;
        hypothesis.valves = std::move(valves);
        if (asked_.celsius) hypothesis.warmths = {{belief_.at(), *asked_.celsius}};
        hypothesis.until = belief_.at() + parameters_.looked_ahead;
        return belief_.under(hypothesis, [=](const Foreseen& f) {
            return f.estimates.at(Quantity::co2_volumes).*end >= volumes_wanted;
        });
    }
    [[nodiscard]] double enough() const { return asked_.target_volumes - parameters_.within_volumes; }
    [[nodiscard]] base::Estimate ready(const std::vector<Foreseen>& course) const {
        return {when(course, enough(), &base::Estimate::value), when(course, enough(), &base::Estimate::high),
                when(course, enough(), &base::Estimate::low)};
    }

    void by_regulator() {
        if (set_kpa_ > bearable_kpa_) {
            plan_.refused.push_back(
                fmt::format("{} at {} need {}: the lowest rated part allows no more than {}, which holds {}. "
                            "Chill the beer further, or take fewer volumes.",
                            volumes(asked_.target_volumes), temperature(celsius_), pressure(set_kpa_),
                            pressure(std::floor(bearable_kpa_)), volumes(held_at(bearable_kpa_, celsius_))));
            return;
        }
        if (set_kpa_ <= 0) {
            plan_.refused.push_back(
                fmt::format("At {} beer holds {} under an open vent alone: no gas is needed.",
                            temperature(celsius_), volumes(asked_.target_volumes)));
            return;
        }
        CarbonationWay way;
        way.course = under({{belief_.at(), HeadSpace::supplied, set_kpa_}}, &base::Estimate::low, enough());
        way.ready = ready(way.course);
        way.steps = {{belief_.at(), set_kpa_,
                      fmt::format("Set the regulator to {} and leave it.", pressure(set_kpa_))}};
        plan_.set_and_wait = std::move(way);
        quicker();
    }

    /// Under a higher pressure until the beer may be there by the upper end of
    /// the belief, no longer.
    void quicker() {
        const double high_kpa = parameters_.highest_share * bearable_kpa_;
        if (high_kpa < set_kpa_ + parameters_.worth_kpa) return;
        const auto pushed = under({{belief_.at(), HeadSpace::supplied, high_kpa}}, &base::Estimate::high,
                                  asked_.target_volumes);
        const double until_s = when(pushed, asked_.target_volumes, &base::Estimate::high);
        const Timestamp until = std::isfinite(until_s) ? base::from_unix_seconds(until_s) : belief_.at();
        if (until - belief_.at() < parameters_.least) return;
        CarbonationWay way;
        way.course = under({{belief_.at(), HeadSpace::supplied, high_kpa},
                            {until, HeadSpace::sealed, {}},
                            {until + shut_in, HeadSpace::spunded, set_kpa_},  // what is above it is let off
                            {until + shut_in + let_off, HeadSpace::supplied, set_kpa_}},
                           &base::Estimate::low, enough());
        way.ready = ready(way.course);
        if (!(way.ready.value < plan_.set_and_wait->ready.value)) return;
        const auto then = std::ranges::find(pushed, until, &Foreseen::at);
        const base::Estimate reached = then->estimates.at(Quantity::co2_volumes);
        way.steps = {
            {belief_.at(), high_kpa, fmt::format("Set the regulator to {}, no higher.", pressure(high_kpa))},
            {until, 0,
             fmt::format(
                 "Shut the gas for two hours. It should hold {} ({} to {}): the fall of the gauge tells.",
                 volumes(reached.value), volumes(reached.low), volumes(reached.high))},
            {until + shut_in, set_kpa_,
             fmt::format("Let off what is above {}, set the regulator to it, and leave it.",
                         pressure(set_kpa_))}};
        way.overshoot = fmt::format(
            "Forgotten at {}, it would end at {}, foam at the tap and, warmed up to {} behind a shut valve, "
            "come to {}.",
            pressure(high_kpa), volumes(held_at(high_kpa, celsius_)), temperature(vessel_.warmest_c),
            pressure(brewing::pressure_for_volumes(vessel_.warmest_c, held_at(high_kpa, celsius_))
                         .kpa_gauge(belief_.ambient())));
        plan_.faster = std::move(way);
    }

    /// At the temperature it ferments at, so that nothing is let off later.
    void by_spunding(double ferments_c) {
        const auto now = belief_.now(), closing = belief_.closing();
        const auto gravity = now.find(Quantity::gravity_now);
        const auto end = belief_.final_gravity();
        if (gravity == now.end() || !end) return;
        const double points_left = (gravity->second.value - end->value) / sg_per_point;
        if (points_left < parameters_.points_left_least) return;
        const double high_kpa = parameters_.highest_share * bearable_kpa_;
        const double wanted_kpa = set_for(ferments_c);
        const double set = std::min(wanted_kpa, high_kpa);
        const double reached = std::min(asked_.target_volumes, held_at(set, ferments_c));
        const double head_share = std::max(vessel_.total_volume_l - belief_.context().beer_volume_l, 0.0) /
                                  std::max(belief_.context().beer_volume_l, 1.0);
        const double in_head = head_share * std::max(set, 0.0) / base::standard_atmosphere.kpa_absolute();
        const double points_needed =
            std::max(0.0, reached - volumes_now_.value + in_head) / brewing::volumes_per_gravity_point;
        const double close_sg = end->value + points_needed * sg_per_point;
        plan_.spunding.push_back(fmt::format("Set the spunding valve to {}: at {} that holds {}.",
                                             pressure(set), temperature(ferments_c),
                                             volumes(held_at(set, ferments_c))));
        if (wanted_kpa > high_kpa)
            plan_.spunding.push_back(
                fmt::format("{} would take {} at this warmth, too near what the lowest rated part allows: "
                            "bring the rest in cold, by the regulator.",
                            volumes(asked_.target_volumes), pressure(wanted_kpa)));
        plan_.spunding.push_back(
            points_needed > points_left
                ? fmt::format("Shut it at once: {:.0f} points are left, and {:.0f} would be needed for {}.",
                              points_left, points_needed, volumes(reached))
                : fmt::format("Shut it at {} at the latest: {:.0f} of the {:.0f} points left make the rest "
                              "of the gas.",
                              display_.text(Quantity::closing_gravity, close_sg), points_needed,
                              points_left));
        const auto safe = closing.find(Quantity::closing_gravity);
        if (safe == closing.end() || safe->second.low >= close_sg) return;
        plan_.spunding.push_back(
            "All of it hangs on that valve: stuck shut, the vessel would pass what its lowest rated part "
            "allows" +
            (safe->second.low > end->value
                 ? fmt::format(", unless it is shut from {} on.",
                               display_.text(Quantity::closing_gravity, safe->second.low))
                 : std::string{"."}) +
            " Test valve and relief valve before.");
    }

    const CarbonationAsked& asked_;
    const estimation::Foresight& belief_;
    const VesselSpec& vessel_;
    const display::Display& display_;
    const CarbonationParameters& parameters_;
    double celsius_ = 0, bearable_kpa_ = 0, set_kpa_ = 0;
    base::Estimate volumes_now_;
    CarbonationPlan plan_;
};

}  // namespace

CarbonationPlan plan_carbonation(const CarbonationAsked& asked, const estimation::Foresight& belief,
                                 const VesselSpec& vessel, const display::Display& display,
                                 const CarbonationParameters& parameters) {
    return Planner{asked, belief, vessel, display, parameters}.plan();
}

}  // namespace gyled::batch
