#include "daemon/batch/packaging_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/brewing/solubility.hpp"

namespace gyled::batch {
namespace {

using base::Estimate;
using base::Quantity;
using estimation::FactKind;

constexpr double points_per_sg = 1000;
constexpr Estimate unknown{std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::quiet_NaN()};

/// Doubts that have nothing to do with each other.
Estimate sum(const Estimate& a, const Estimate& b) {
    const double value = a.value + b.value;
    return {value, value - std::hypot(a.value - a.low, b.value - b.low),
            value + std::hypot(a.high - a.value, b.high - b.value)};
}

class Check {
public:
    Check(const PackagingAsked& asked, const PackagingEvidence& evidence, const display::Display& display,
          const PackagingParameters& parameters)
        : asked_{asked}, with_{evidence}, display_{display}, parameters_{parameters} {}

    [[nodiscard]] PackagingAnswer answer() {
        reckon();
        judge_gas();
        judge_ferment();
        judge_culture();
        add_cautions();
        return answer_;
    }

private:
    [[nodiscard]] std::optional<Estimate> believed(Quantity q) const {
        const auto found = with_.estimates.find(q);
        return found == with_.estimates.end() ? std::nullopt : std::optional{found->second};
    }
    [[nodiscard]] std::string volumes(double value) const {
        return display_.text(Quantity::co2_volumes, value);
    }
    void against(std::string why) { answer_.against.push_back(std::move(why)); }

    void reckon() {
        const auto now = believed(Quantity::co2_volumes), left = believed(Quantity::residual_co2_potential);
        answer_.now = now.value_or(unknown);
        answer_.from_extract = left.value_or(unknown);
        if (const auto deeper = from_forced_ferment()) answer_.from_extract = *deeper;
        const Estimate unprimed = sum(answer_.now, answer_.from_extract);
        const double lacking = asked_.target_volumes ? *asked_.target_volumes - unprimed.value : 0.0;
        const double primed = std::max(lacking, 0.0);
        answer_.from_sugar = {primed, primed, primed};
        answer_.sugar_g_per_litre = primed * brewing::priming_g_per_litre_per_volume(asked_.sugar);
        answer_.in_all = sum(unprimed, answer_.from_sugar);
        answer_.serving_kpa = pressure_at(asked_.serving_c);
        answer_.warm_kpa = pressure_at(asked_.storage_c);
    }

    /// At equilibrium, without the little that goes into the neck: the safe side.
    [[nodiscard]] Estimate pressure_at(double celsius) const {
        const auto kpa = [&](double held, double factor) {
            return brewing::pressure_for_volumes(celsius, std::max(held, 0.0), factor)
                .kpa_gauge(with_.ambient);
        };
        return {kpa(answer_.in_all.value, brewing::beer_factor_typical),
                kpa(answer_.in_all.low, brewing::beer_factor_high),
                kpa(answer_.in_all.high, brewing::beer_factor_low)};
    }

    [[nodiscard]] std::optional<double> forced_final_gravity() const {
        const auto quantity = base::quantity_named("forced_final_gravity");
        const auto& all = with_.record.measurements;
        const auto found = std::find_if(all.rbegin(), all.rend(), [&](const HandMeasurement& m) {
            return quantity && m.quantity == *quantity;
        });
        return found == all.rend() ? std::nullopt : std::optional{found->value};
    }
    /// What it says of the beer counts, where that is more than what is believed.
    [[nodiscard]] std::optional<Estimate> from_forced_ferment() const {
        const auto forced = forced_final_gravity();
        const auto now = believed(Quantity::gravity_now), left = believed(Quantity::residual_co2_potential);
        if (!forced || !now) return std::nullopt;
        const auto volumes_from = [&](double sg) {
            return brewing::volumes_per_gravity_point * std::max(0.0, (sg - *forced) * points_per_sg);
        };
        const Estimate by_forced{volumes_from(now->value), volumes_from(now->low), volumes_from(now->high)};
        return !left || by_forced.value > left->value ? std::optional{by_forced} : std::nullopt;
    }

    void judge_gas() {
        if (std::isnan(answer_.now.value))
            return against(
                "What CO2 the beer holds is not known: it needs temperature and head pressure, or a "
                "measurement of CO2.");
        if (std::isnan(answer_.from_extract.value))
            return against("What the extract left would add is not known: it needs gravity readings.");
        const double limit = asked_.package.volumes_max;
        if (answer_.in_all.value > limit)
            against(fmt::format("It would hold {}: a package of this kind ({}) should hold no more than {}.",
                                volumes(answer_.in_all.value), asked_.package.name, volumes(limit)));
        else if (answer_.in_all.high > limit)
            against(fmt::format(
                "It could hold up to {}: a package of this kind ({}) should hold no more than {}.",
                volumes(answer_.in_all.high), asked_.package.name, volumes(limit)));
        if (asked_.target_volumes && *asked_.target_volumes > limit)
            against(fmt::format("The target of {} is more than a package of this kind ({}) should hold: {}.",
                                volumes(*asked_.target_volumes), asked_.package.name, volumes(limit)));
    }

    [[nodiscard]] std::optional<Timestamp> finished_since() const {
        const auto& facts = with_.record.facts;
        const auto found = std::find_if(facts.rbegin(), facts.rend(), [](const estimation::Fact& f) {
            return f.kind == FactKind::fermentation_finished && !f.revoked;
        });
        return found == facts.rend() ? std::nullopt : std::optional{found->at};
    }

    void judge_ferment() {
        const auto since = finished_since();
        if (!since)
            against(
                "It has not been found finished: one reading proves nothing; the gravity must stand still "
                "over two days at fermentation temperature.");
        else if (with_.now - *since < parameters_.stood_least && !two_equal_samples())
            against(
                fmt::format("It was found finished only {} ago: give it two days from then, or take two "
                            "equal hydrometer readings two days apart.",
                            display::duration_text(with_.now - *since)));
        if (const auto rate = believed(Quantity::gravity_rate);
            rate && rate->low < -parameters_.slope_most_sg_per_day)
            against(fmt::format(
                "Whether the gravity stands still is not resolved: it may yet fall by {:.4f} SG a day.",
                -rate->low));
    }
    /// Of the last two days at least, taken by a person.
    [[nodiscard]] bool two_equal_samples() const {
        const HandMeasurement* last = nullptr;
        for (auto m = with_.record.measurements.rbegin(); m != with_.record.measurements.rend(); ++m) {
            if (m->quantity != Quantity::gravity) continue;
            if (last == nullptr) last = &*m;
            if (std::abs(m->value - last->value) * points_per_sg > parameters_.equal_points) return false;
            if (last->at - m->at >= parameters_.stood_least) return true;
        }
        return false;
    }

    void judge_culture() {
        const auto forced = forced_final_gravity();
        if (with_.record.plan.culture == base::Culture::mixed && !forced)
            against("A mixed culture goes on for months: it needs the result of a forced ferment.");
        const auto now = believed(Quantity::gravity_now);
        if (forced && now && (now->value - *forced) * points_per_sg > parameters_.forced_below_points)
            against(fmt::format("The forced ferment ended at {}: this beer stands at {} and is not done.",
                                display_.text(Quantity::gravity, *forced),
                                display_.text(Quantity::gravity, now->value)));
    }

    void add_cautions() {
        auto& cautions = answer_.cautions;
        if (asked_.target_volumes && answer_.from_sugar.value == 0)
            cautions.push_back("It holds, or will hold, that much already: add no sugar.");
        if (answer_.sugar_g_per_litre > 0)
            cautions.push_back(
                "Weigh the sugar, dissolve it, and mix it in well: what gathers in some bottles bursts "
                "them.");
        cautions.push_back(
            "That nothing is found is no word that it is safe: it rests on sensors, and a point of gravity "
            "by which they are wrong is half a volume. Confirm by a degassed hydrometer sample.");
        cautions.push_back(
            "Dry hops and wild yeast restart a ferment after weeks. Keep packages cool and behind a shield, "
            "open one early, and never reuse scratched glass for more.");
    }

    const PackagingAsked& asked_;
    const PackagingEvidence& with_;
    const display::Display& display_;
    const PackagingParameters& parameters_;
    PackagingAnswer answer_;
};

}  // namespace

PackagingAnswer check_packaging(const PackagingAsked& asked, const PackagingEvidence& evidence,
                                const display::Display& display, const PackagingParameters& parameters) {
    return Check{asked, evidence, display, parameters}.answer();
}

}  // namespace gyled::batch
