#include "daemon/estimation/foresight.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::HeadSpace;
using base::Quantity;
using base::Timestamp;

constexpr base::Duration reading_every = 5min;  ///< as belief takes temperatures in
constexpr double regulator_play_kpa = 1.0;      ///< above its set point by more, a regulator gives nothing

/// The temperature to come, as if it had been read.
class Warming {
public:
    Warming(const Hypothesis& hypothesis, double celsius, const ForesightParameters& parameters)
        : hypothesis_{hypothesis}, celsius_{celsius}, parameters_{parameters} {}

    /// After the next five minutes, which end at `t`.
    [[nodiscard]] double next(Timestamp t) {
        double wanted = celsius_;
        for (const Hypothesis::Warmth& warmth : hypothesis_.warmths)
            if (warmth.from < t) wanted = warmth.celsius;
        const double hours = base::hours_between(t - reading_every, t);
        celsius_ = std::clamp(wanted, celsius_ - parameters_.cools_c_per_h * hours,
                              celsius_ + parameters_.warms_c_per_h * hours);
        return celsius_;
    }

private:
    const Hypothesis& hypothesis_;
    double celsius_;
    ForesightParameters parameters_;
};

/// Of beer that came in finished nothing is believed: its curve has seen nothing.
std::optional<base::Estimate> of_the_curve(const Fold& fold, Quantity q) {
    if (!fold.gravity().is_started()) return std::nullopt;
    const base::Estimates& gravity = fold.gravity().estimates();
    const auto found = gravity.find(q);
    return found == gravity.end() ? std::nullopt : std::optional{found->second};
}

base::Estimates told(const Fold& fold) {
    base::Estimates out = fold.gas().held(fold.ambient());
    if (const auto now = of_the_curve(fold, Quantity::gravity_now)) out[Quantity::gravity_now] = *now;
    return out;
}

/// What a valve does at this pressure: a spunding valve below its set point is
/// shut, and a regulator takes no gas back.
HeadSpace as_it_works(const Hypothesis::Valve& valve, double head_kpa) {
    const double set = valve.set_kpa.value_or(0);
    if (valve.head_space == HeadSpace::spunded && head_kpa < set) return HeadSpace::sealed;
    if (valve.head_space == HeadSpace::supplied && head_kpa > set + regulator_play_kpa)
        return HeadSpace::sealed;
    return valve.head_space;
}

const Hypothesis::Valve* valve_at(const Hypothesis& hypothesis, Timestamp t) {
    const Hypothesis::Valve* current = nullptr;
    for (const Hypothesis::Valve& valve : hypothesis.valves)
        if (valve.from <= t) current = &valve;
    return current;
}

}  // namespace

Foresight::Foresight(Fold belief, BatchContext context, StageEntry now)
    : belief_{std::move(belief)}, context_{std::move(context)}, stage_{now} {}

base::Estimates Foresight::now() const {
    return told(belief_);
}

base::Estimates Foresight::closing() const {
    const BatchInputs present{.context = context_, .started = belief_.at()};
    return belief_.closing(present, std::nullopt);
}

std::optional<base::Estimate> Foresight::final_gravity() const {
    return of_the_curve(belief_, Quantity::final_gravity);
}

std::vector<Foreseen> Foresight::under(const Hypothesis& hypothesis, const Enough& enough,
                                       const ForesightParameters& parameters) const {
    const auto celsius = beer_c();
    if (!celsius || now().empty()) return {};
    Fold fold = belief_;
    BatchInputs future{.context = context_, .started = belief_.at()};
    Warming warming{hypothesis, *celsius, parameters};
    std::vector<Foreseen> out;
    while (fold.at() < hypothesis.until) {
        Foreseen next;
        for (Timestamp t = fold.at(); t < fold.at() + Fold::grid; t += reading_every) {
            next.beer_c = warming.next(t + reading_every);
            (void)future.beer_temperature.add(t + reading_every / 2, next.beer_c);
        }
        // The stage keeps its beginning: how gas meets the beer is not new.
        StageEntry stage = stage_;
        const Hypothesis::Valve as_it_is{fold.at(), stage_.head_space, stage_.head_pressure_kpa};
        const Hypothesis::Valve* const valve = valve_at(hypothesis, fold.at());
        const Hypothesis::Valve& now = valve ? *valve : as_it_is;
        const base::Estimates before = told(fold);
        stage.head_space = as_it_works(now, before.at(Quantity::head_pressure).value);
        stage.head_pressure_kpa = now.set_kpa;
        future.stages = {stage};
        (void)fold.step(future);
        next.at = fold.at();
        next.estimates = told(fold);
        out.push_back(std::move(next));
        if (enough && enough(out.back())) break;
    }
    return out;
}

}  // namespace gyled::estimation
