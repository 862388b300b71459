#include "daemon/estimation/gas/closing.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/water.hpp"
#include "daemon/estimation/gas/parameters.hpp"
#include "daemon/estimation/statistics/random.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::gas {
namespace {

using base::Pressure;
using base::Quantity;
using statistics::Weighted;

constexpr ClosingParameters closing;
constexpr GasReportParameters report;

/// Picks of a weighted sample, spread evenly over its weight, in an order that has nothing to do with that of
/// the other sample: steps of the golden ratio (Weyl's sequence).
class EvenPicks {
public:
    explicit EvenPicks(const std::vector<SugarLeft>& from) : from_{from} {
        double sum = 0;
        for (const SugarLeft& one : from) below_.push_back(sum += one.weight);
    }
    [[nodiscard]] const SugarLeft& next() {
        constexpr double golden = 0.6180339887498949;
        at_ = std::fmod(at_ + golden, 1.0);
        const auto found = std::ranges::upper_bound(below_, at_ * below_.back());
        return from_[std::min(from_.size() - 1, static_cast<std::size_t>(found - below_.begin()))];
    }

private:
    const std::vector<SugarLeft>& from_;
    std::vector<double> below_;
    double at_ = 0.5;
};

/// What no instrument and no table tells exactly: standard normal numbers, the same at each call, so that the
/// outlook does not flicker.
struct Doubts {
    explicit Doubts(statistics::Random& random) : yield{random.normal()}, instruments{random.normal()} {}
    double yield, instruments;
};

/// One sample: what is shut in, and the doubts that go with it.
struct Closed {
    const GasContents& gas;
    const ClosingConditions& now;
    Doubts doubts;

    [[nodiscard]] double volumes_above_beer() const {
        if (!(gas.co2_kpa > 0)) return 0;
        const auto co2 = Pressure::from_kpa_absolute(gas.co2_kpa + gas.air_kpa);
        return gas.co2_kpa / brewing::kpa_per_volume(gas.vessel, {now.beer_c, co2});
    }
    [[nodiscard]] brewing::SealedVessel vessel_at(double celsius) const {
        brewing::SealedVessel vessel = gas.vessel;
        vessel.beer_factor *= 1 + gas.factor_slope * (celsius - now.beer_c);
        return vessel;
    }
    [[nodiscard]] double besides_co2_kpa(double celsius) const {
        return brewing::vapour_pressure(celsius).kpa_absolute() +
               gas.air_kpa * base::kelvin(celsius) / base::kelvin(now.beer_c);
    }
    [[nodiscard]] double misread() const { return 1 + report.instruments * doubts.instruments; }

    /// Gauge pressure once `volumes` in all have come to equilibrium.
    [[nodiscard]] double ends_at(double volumes, double celsius) const {
        const double settled = brewing::settled_co2_kpa(vessel_at(celsius), volumes, celsius);
        const double co2 = settled >= 0 ? std::min(settled, closing.co2_kpa_max) : closing.co2_kpa_max;
        return (co2 + besides_co2_kpa(celsius)) * misread() - now.ambient.kpa_absolute();
    }
    /// The volumes in all that end at this gauge pressure: the inverse.
    [[nodiscard]] double volumes_that_end_at(double kpa, double celsius) const {
        const double total = (kpa + now.ambient.kpa_absolute()) / misread();
        const double co2 = std::max(0.0, total - besides_co2_kpa(celsius));
        const auto gas_kpa = Pressure::from_kpa_absolute(co2);
        const brewing::SealedVessel vessel = vessel_at(celsius);
        return co2 * (vessel.beer_factor * brewing::volumes_in_water_per_kpa(celsius, gas_kpa) +
                      1 / brewing::kpa_per_volume(vessel, {celsius, gas_kpa}));
    }
    /// Beer that goes on fermenting under the pressure as it is holds at least its equilibrium, when it is
    /// shut later.
    [[nodiscard]] double volumes_when_shut_later() const {
        const auto dry = Pressure::from_kpa_absolute(gas.co2_kpa + gas.air_kpa);
        const double equilibrium =
            gas.vessel.beer_factor * brewing::volumes_in_water_per_kpa(now.beer_c, dry) * dry.kpa_absolute();
        return std::max(gas.in_beer, equilibrium) + volumes_above_beer();
    }
};

/// The gravity from which on so many volumes are still to come; no higher than where the wort began. Below
/// the end when not even none would do.
double gravity_with_volumes_to_come(const brewing::GravityDrop& drop, double volumes) {
    const auto to_come = [&](double sg) {
        return brewing::co2_volumes_from_drop({drop.original_sg, sg, drop.to_sg});
    };
    const double per_point = to_come(drop.to_sg + closing.secant_sg) / closing.secant_sg;
    const double near = volumes / per_point;  // the yield bends by a per cent over ten points
    const double bent = std::abs(near) > closing.secant_sg ? to_come(drop.to_sg + near) : volumes;
    return std::min(drop.original_sg, drop.to_sg + near * (bent != 0 ? volumes / bent : 1));
}

/// Where it is safe to close: by the gravity itself, and by what is believed of it now. They differ by the
/// doubt of the present gravity; the lower one is safe for a reader of either.
base::Estimate closing_gravity(std::vector<Weighted>& by_gravity, std::vector<Weighted>& by_belief) {
    const base::Estimate gravity = statistics::median_and_90_percent(by_gravity);
    const double safe = std::min(gravity.low, statistics::median_and_90_percent(by_belief).low);
    return {safe, safe, gravity.high};
}

/// The vessel whose gas is most probable, as far as the rise asks for it.
Sharing sharing_of(const std::vector<GasContents>& gas, double beer_c) {
    const GasContents& likely = *std::ranges::max_element(gas, {}, &GasContents::weight);
    const auto co2 = Pressure::from_kpa_absolute(std::max(1.0, likely.co2_kpa));
    Sharing sharing = sharing_in(likely.vessel, beer_c, co2);
    sharing.in_beer = likely.in_beer;
    return sharing;
}

double middle_of_now(const std::vector<SugarLeft>& sugar) {
    std::vector<Weighted> now;
    now.reserve(sugar.size());
    for (const SugarLeft& one : sugar) now.push_back({one.drop.from_sg, one.weight});
    constexpr double middle = 0.5;
    return statistics::quantile(now, middle);
}

bool has_just_begun(const std::vector<SugarLeft>& sugar, double now_sg) {
    return !sugar.empty() && sugar.front().drop.original_sg - now_sg < closing.starting_sg;
}

base::Estimate narrowed(const base::Estimate& told, double width) {
    return {told.value, told.value - width * (told.value - told.low),
            told.value + width * (told.high - told.value)};
}

}  // namespace

std::vector<GasContents> contents_of(const Particles& particles, double beer_litres, double beer_c) {
    const std::vector<double> weights = particles.weights();
    std::vector<GasContents> contents;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] < report.negligible) continue;
        const Particle& p = particles.all()[i];
        const double sigma = std::sqrt(std::max(0.0, p.cc));
        at_three_points([&](double sigmas, double share) {
            contents.push_back({.vessel = p.vessel(beer_litres, beer_c),
                                .factor_slope = p.slope * p.factor / p.factor_at(beer_c),
                                .in_beer = std::max(0.0, p.c + sigmas * sigma),
                                .co2_kpa = std::max(0.0, p.p),
                                .air_kpa = p.air,
                                .weight = weights[i] * share});
        });
    }
    return contents;
}

base::Estimates closing_outlook(const std::vector<GasContents>& gas, const std::vector<SugarLeft>& believed,
                                const ClosingConditions& conditions) {
    if (gas.empty()) return {};
    const std::vector<SugarLeft> sugar =
        conditions.rise ? sugar_given(believed, *conditions.rise, sharing_of(gas, conditions.beer_c))
                        : believed;
    const double warmest_c = std::max(conditions.warmest_c, conditions.beer_c);
    const double now_sg = sugar.empty() ? 0 : middle_of_now(sugar);
    EvenPicks picks{sugar};
    statistics::Random random{closing.seed};
    std::vector<Weighted> closed, warm, by_gravity, by_belief;
    for (const GasContents& contents : gas) {
        const Closed vessel{contents, conditions, Doubts{random}};
        const double yield = std::max(closing.yield_min, 1 + closing.yield_sigma * vessel.doubts.yield);
        double volumes = std::max(0.0, contents.in_beer) + vessel.volumes_above_beer();
        if (!sugar.empty()) {
            const brewing::GravityDrop& drop = picks.next().drop;
            volumes += yield * std::max(0.0, brewing::co2_volumes_from_drop(drop));
            if (conditions.bearable_kpa) {
                const double room = vessel.volumes_that_end_at(*conditions.bearable_kpa, warmest_c) -
                                    vessel.volumes_when_shut_later();
                const double sg = gravity_with_volumes_to_come(drop, room / yield);
                by_gravity.push_back({sg, contents.weight});
                by_belief.push_back({now_sg + sg - drop.from_sg, contents.weight});
            }
        }
        closed.push_back({vessel.ends_at(volumes, conditions.beer_c), contents.weight});
        warm.push_back({vessel.ends_at(volumes, warmest_c), contents.weight});
    }
    const double width = has_just_begun(sugar, now_sg) ? closing.starting_width : 1;
    base::Estimates estimates;
    estimates[Quantity::closed_pressure] = narrowed(statistics::median_and_90_percent(closed), width);
    estimates[Quantity::warm_pressure] = narrowed(statistics::median_and_90_percent(warm), width);
    if (!by_gravity.empty()) estimates[Quantity::closing_gravity] = closing_gravity(by_gravity, by_belief);
    return estimates;
}

}  // namespace gyled::estimation::gas
