#include "daemon/estimation/batch_estimator.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "daemon/estimation/dissolved_gas.hpp"
#include "daemon/estimation/series.hpp"

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Estimates;
using base::Quantity;
using base::Timestamp;

constexpr Duration snapshot_every = 6h;
constexpr Duration gas_step = 5min;

Timestamp grid_at_or_before(Timestamp t) {
    return std::chrono::floor<std::chrono::duration<long long, std::ratio<900>>>(t);
}

struct HandReading {
    Timestamp at;
    double value;
};

}  // namespace

struct BatchEstimator::Impl {
    /// Everything that the fold carries from one grid point to the next.
    struct Fold {
        Timestamp at;
        GravityCurve gravity;
        DissolvedGas gas;
        std::optional<double> beer_c;
        base::Pressure ambient;
        std::optional<StageEntry> stage;
        std::size_t measured = 0;  ///< hand readings taken in so far
        bool pitched = false;
        bool ferments = true;  ///< the watch saw the yeast go in; else finished beer came into the vessel
    };

    Impl(BatchContext c, Timestamp started)
        : context{std::move(c)},
          fold{grid_at_or_before(started),
               GravityCurve{context.gravity, started},
               DissolvedGas{gas_context(GasContext::Start::wort)},
               std::nullopt,
               context.ambient,
               std::nullopt,
               0,
               false},
          context_start{started} {
        snapshots.push_back(fold);
    }

    [[nodiscard]] GasContext gas_context(GasContext::Start start) const {
        GasContext gas;
        gas.total_volume_l = context.total_volume_l;
        gas.beer_volume_l = context.beer_volume_l;
        gas.warmest_c = context.warmest_c;
        gas.target_co2_volumes = context.target_co2_volumes;
        gas.relief_kpa = context.relief_kpa;
        gas.start = start;
        return gas;
    }

    void touched(Timestamp at) {
        if (at < fold.at) dirty_from = dirty_from ? std::min(*dirty_from, at) : at;
    }

    [[nodiscard]] const StageEntry* stage_at(Timestamp t) const {
        const StageEntry* current = nullptr;
        for (const StageEntry& s : stages)
            if (s.at <= t) current = &s;
        return current;
    }

    void rewind() {
        while (snapshots.size() > 1 && snapshots.back().at > *dirty_from) snapshots.pop_back();
        fold = snapshots.back();
        dirty_from.reset();
    }

    void step_gravity(Timestamp from, Timestamp to, const StageEntry& stage) {
        const auto seen_c = gather(beer_temperature.between(from, to));
        if (seen_c) fold.beer_c = seen_c->value;
        std::optional<GravityBin> bin;
        if (const auto seen = gather(gravity.between(from, to)))
            bin = GravityBin{seen->value, static_cast<int>(seen->count)};
        while (fold.measured < hand_gravity.size() && hand_gravity[fold.measured].at < to) {
            fold.gravity.measure(hand_gravity[fold.measured].at, hand_gravity[fold.measured].value);
            ++fold.measured;
        }
        if (!fold.ferments) return;
        fold.gravity.step(to, seen_c ? std::optional{seen_c->value} : std::nullopt, bin, stage.kind);
    }

    void step_gas(Timestamp from, Timestamp to, const StageEntry& stage) {
        if (const auto air = gather(barometric_pressure.between(from, to)))
            fold.ambient = base::Pressure::from_kpa_absolute(air->value);
        if (!fold.beer_c) return;
        const auto produced = fold.ferments ? fold.gravity.co2_volumes_per_hour() : std::nullopt;
        constexpr double hours = base::hours_between(Timestamp{}, Timestamp{gas_step});
        for (Timestamp t = from; t < to; t += gas_step) {
            const auto here = gather(beer_temperature.between(t, t + gas_step));
            const auto head = gather(head_pressure.between(t, t + gas_step));
            GasStep step;
            step.from = t;
            step.to = t + gas_step;
            step.beer_c = here ? here->value : *fold.beer_c;
            step.ambient = fold.ambient;
            if (head) step.head_kpa = head->value;
            step.head_space = stage.head_space;
            step.set_kpa = stage.head_pressure_kpa;
            if (produced) {
                step.produced_volumes = std::max(0.0, produced->value) * hours;
                step.produced_sigma = (produced->high - produced->low) / 3.29 * hours;
                step.fermenting = produced->value > 0.004;
            }
            fold.gas.step(step);
        }
    }

    Outlook step(Timestamp to) {
        const Timestamp from = fold.at;
        fold.at = to;
        const StageEntry* stage = stage_at(to - Duration{1});
        Outlook outlook{to, {}};
        if (stage == nullptr) return outlook;
        if (!fold.stage || fold.stage->at != stage->at) {
            if (fold.stage) fold.gas.unsettle();
            fold.stage = *stage;
            fold.gravity.set_plan(plan_from(to));
        }
        if (!base::is_cold_side(stage->kind)) return outlook;
        if (!fold.pitched) {  // brew day is over: the curve begins when the yeast meets the wort
            fold.pitched = true;
            fold.gravity = GravityCurve{context.gravity, std::max(stage->at, context_start)};
            fold.gravity.set_plan(plan_from(to));
            using base::StageKind;
            fold.ferments = stage->kind == StageKind::ferment;
            if (stage->kind >= StageKind::condition)
                fold.gas = DissolvedGas{gas_context(GasContext::Start::carbonated)};
            else if (stage->kind != StageKind::ferment)
                fold.gas = DissolvedGas{gas_context(GasContext::Start::fermented)};
        }
        step_gravity(from, to, *stage);
        step_gas(from, to, *stage);
        outlook.estimates = fold.ferments ? fold.gravity.estimates() : gravity_of_finished_beer(to);
        outlook.estimates.insert(fold.gas.estimates().begin(), fold.gas.estimates().end());
        return outlook;
    }

    /// Beer that came in finished: where it stands is what the sensor says, give or take its usual bias.
    [[nodiscard]] Estimates gravity_of_finished_beer(Timestamp to) const {
        Estimates estimates;
        const auto seen = gather(gravity.between(to - 12h, to));
        if (!seen) return estimates;
        constexpr double bias = 0.004;  // 90 %, an uncorrected float (common practice)
        estimates[Quantity::gravity_now] = {seen->value, seen->value - bias, seen->value + bias};
        return estimates;
    }

    [[nodiscard]] std::vector<PlannedTemperature> plan_from(Timestamp t) const {
        std::vector<PlannedTemperature> plan;
        for (const StageEntry& s : context.planned)
            if (s.at > t && s.temperature_c)
                plan.push_back({s.at, (s.temperature_c->low + s.temperature_c->high) / 2});
        return plan;
    }

    void join_facts() {
        facts = fold.gravity.facts();
        facts.insert(facts.end(), fold.gas.facts().begin(), fold.gas.facts().end());
        std::stable_sort(facts.begin(), facts.end(),
                         [](const Fact& a, const Fact& b) { return a.at < b.at; });
    }

    BatchContext context;
    BinnedSeries beer_temperature, gravity, head_pressure, barometric_pressure;
    std::vector<HandReading> hand_gravity;
    std::vector<StageEntry> stages;
    Fold fold;
    Timestamp context_start;
    std::vector<Fold> snapshots;
    std::optional<Timestamp> dirty_from;
    Outlook latest;
    std::vector<Fact> facts;
};

BatchEstimator::BatchEstimator(BatchContext context, Timestamp started)
    : impl_{std::make_unique<Impl>(std::move(context), started)} {}
BatchEstimator::~BatchEstimator() = default;
BatchEstimator::BatchEstimator(BatchEstimator&&) noexcept = default;
BatchEstimator& BatchEstimator::operator=(BatchEstimator&&) noexcept = default;

void BatchEstimator::observe(Quantity quantity, Timestamp at, double value) {
    if (!std::isfinite(value) || at < impl_->snapshots.front().at) return;
    switch (quantity) {
        case Quantity::beer_temperature:
            impl_->beer_temperature.add(at, value);
            break;
        case Quantity::gravity:
            impl_->gravity.add(at, value);
            break;
        case Quantity::head_pressure:
            impl_->head_pressure.add(at, value);
            break;
        case Quantity::barometric_pressure:
            impl_->barometric_pressure.add(at, value);
            break;
        default:
            return;
    }
    impl_->touched(at);
}

void BatchEstimator::measure(Quantity quantity, Timestamp at, double value) {
    if (quantity != Quantity::gravity || !std::isfinite(value)) return;
    auto& hand = impl_->hand_gravity;
    const auto place = std::upper_bound(hand.begin(), hand.end(), at,
                                        [](Timestamp t, const HandReading& h) { return t < h.at; });
    hand.insert(place, {at, value});
    impl_->touched(at);
}

void BatchEstimator::enter(StageEntry stage) {
    auto& stages = impl_->stages;
    const auto place = std::upper_bound(stages.begin(), stages.end(), stage.at,
                                        [](Timestamp t, const StageEntry& s) { return t < s.at; });
    impl_->touched(stage.at);
    stages.insert(place, std::move(stage));
}

std::vector<Outlook> BatchEstimator::advance(Timestamp now) {
    std::vector<Outlook> outlooks;
    if (impl_->dirty_from) impl_->rewind();
    const Timestamp last = grid_at_or_before(now);
    while (impl_->fold.at < last) {
        outlooks.push_back(impl_->step(impl_->fold.at + grid));
        if (impl_->fold.at >= impl_->snapshots.back().at + snapshot_every)
            impl_->snapshots.push_back(impl_->fold);
    }
    if (!outlooks.empty()) {
        impl_->latest = outlooks.back();
        impl_->join_facts();
    }
    return outlooks;
}

bool BatchEstimator::has_late_readings() const {
    return impl_->dirty_from.has_value();
}
const Outlook& BatchEstimator::latest() const {
    return impl_->latest;
}
const std::vector<Fact>& BatchEstimator::facts() const {
    return impl_->facts;
}
std::optional<LearnedCurve> BatchEstimator::learned() const {
    return impl_->fold.gravity.learned();
}

}  // namespace gyled::estimation
