#include "daemon/estimation/fold.hpp"

#include <algorithm>
#include <utility>

#include "daemon/brewing/relief.hpp"
#include "daemon/estimation/statistics/line.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;
using base::Duration;
using base::Quantity;
using base::StageKind;
using base::Timestamp;

/// What the joining of the filters takes for granted.
struct FoldParameters {
    Duration gas_step = 5min;         ///< shorter than gas and beer exchange anything
    Duration finished_window = 12h;   ///< over which the gravity of finished beer is the sensor's median
    double finished_bias_sg = 0.004;  ///< 90 %, an uncorrected float (common practice)
    double fermenting_volumes_per_h = 0.004;  ///< set free: from here on yeast counts as at work (simulation)
    /// So long does belief run on by itself; the longest sleep of a sensor and the slowest gas are within.
    Duration blind_most = 24h * 30;
    /// Of one that was blind, for each quarter of an hour with word since: a sensor's lone reading brings no
    /// month back. A measurement by hand does, for people take few.
    Duration run_on_for_word = 12h;
};
constexpr FoldParameters joining;

gas::GasContext gas_context(const BatchContext& context, gas::GasContext::Start start) {
    gas::GasContext gas;
    gas.total_volume_l = context.total_volume_l;
    gas.beer_volume_l = context.beer_volume_l;
    gas.coldest_c = context.coldest_c;
    gas.target_co2_volumes = context.target_co2_volumes;
    gas.relief_kpa = context.relief_kpa;
    gas.uptake = context.uptake;
    gas.start = start;
    return gas;
}

/// What the vessel holds when the watch of its cold side begins with this stage.
gas::GasContext::Start start_of(StageKind kind) {
    if (kind >= StageKind::condition) return gas::GasContext::Start::carbonated;
    return kind == StageKind::ferment ? gas::GasContext::Start::wort : gas::GasContext::Start::fermented;
}

/// The newest reading within a step; nothing when there was none.
std::optional<double> read_by_hand(const std::vector<HandReading>& readings, Timestamp from, Timestamp to) {
    const auto after = std::ranges::lower_bound(readings, to, {}, &HandReading::at);
    if (after == readings.begin() || std::prev(after)->at < from) return std::nullopt;
    return std::prev(after)->value;
}

std::vector<gravity::PlannedTemperature> plan_from(const BatchContext& context, Timestamp t) {
    std::vector<gravity::PlannedTemperature> plan;
    for (const StageEntry& stage : context.planned)
        if (stage.at > t && stage.temperature_c)
            plan.push_back({stage.at, (stage.temperature_c->low + stage.temperature_c->high) / 2});
    return plan;
}

}  // namespace

Timestamp grid_at_or_before(Timestamp t) {
    return t - ((t.time_since_epoch() % Fold::grid) + Fold::grid) % Fold::grid;
}

const StageEntry* BatchInputs::stage_at(Timestamp t) const {
    const StageEntry* current = nullptr;
    for (const StageEntry& stage : stages)
        if (stage.at <= t) current = &stage;
    return current;
}

bool BatchInputs::says_something(Timestamp from) const {
    return beer_temperature.has_quarter(from) || head_pressure.has_quarter(from) ||
           gravity.has_quarter(from) || barometric_pressure.has_quarter(from) || says_by_hand(from);
}

bool BatchInputs::says_by_hand(Timestamp from) const {
    const auto in_it = [&](const HandReading& hand) { return grid_at_or_before(hand.at) == from; };
    return std::ranges::any_of(hand_gravity, in_it) || std::ranges::any_of(hand_co2, in_it) ||
           std::ranges::any_of(hand_pressure, in_it) || std::ranges::any_of(purges, in_it) ||
           std::ranges::any_of(forced_ferments, in_it);
}

std::optional<Timestamp> BatchInputs::next_word(Timestamp from) const {
    std::optional<Timestamp> first;
    const auto note = [&](std::optional<Timestamp> at) {
        if (at && (!first || *at < *first)) first = at;
    };
    for (const BinnedSeries* series : {&beer_temperature, &head_pressure, &gravity, &barometric_pressure})
        note(series->next_quarter(from));
    for (const std::vector<HandReading>* hands :
         {&hand_gravity, &hand_co2, &hand_pressure, &purges, &forced_ferments}) {
        const auto hand = std::ranges::lower_bound(*hands, from, {}, &HandReading::at);
        if (hand != hands->end()) note(grid_at_or_before(hand->at));
    }
    return first;
}

void BatchInputs::forget_after(Timestamp now) {
    for (BinnedSeries* series : {&beer_temperature, &head_pressure, &gravity, &barometric_pressure})
        series->forget_after(now);
}

Fold::Fold(const BatchInputs& inputs)
    : at_{grid_at_or_before(inputs.started)},
      heard_until_{at_},
      runs_on_{joining.blind_most},
      gravity_{inputs.context.gravity, inputs.started},
      gas_{gas_context(inputs.context, gas::GasContext::Start::wort)},
      ambient_{inputs.context.ambient} {}

EstimateSet Fold::step(const BatchInputs& inputs) {
    const Timestamp from = at_;
    at_ += grid;
    EstimateSet set{at_, {}};
    if (inputs.says_something(from)) {
        heard_until_ = at_;
        runs_on_ = inputs.says_by_hand(from)
                       ? joining.blind_most
                       : std::min(runs_on_ + joining.run_on_for_word, joining.blind_most);
    }
    if (is_blind()) {
        was_blind_ = true;
        runs_on_ = {};
        return set;
    }
    if (std::exchange(was_blind_, false)) gas_.inflate_covariance();
    const StageEntry* stage = inputs.stage_at(at_ - Duration{1});
    if (stage == nullptr) return set;
    if (stage_since_ != stage->at) enter(inputs, *stage);
    if (base::is_cleaning(stage->kind)) is_cold_side_ = false;  // what was in it is gone
    if (!base::is_cold_side(stage->kind) && !(is_cold_side_ && base::leaves_contents(stage->kind)))
        return set;
    if (!is_cold_side_) begin_cold_side(inputs, *stage);
    step_gravity(inputs, from, *stage);
    step_gas(inputs, from, *stage);
    set.estimates = ferments_ ? gravity_.estimates() : gravity_of_finished_beer(inputs);
    set.estimates.insert(gas_.estimates().begin(), gas_.estimates().end());
    for (const auto& [quantity, outlook] : closing(inputs, rise(inputs))) set.estimates[quantity] = outlook;
    return set;
}

bool Fold::is_blind() const {
    return at_ - heard_until_ > runs_on_;
}

/// Blind, no step does anything: so many of them are one.
EstimateSet Fold::leap(const BatchInputs& inputs, Timestamp last) {
    const auto word = inputs.next_word(at_);
    at_ = word ? std::clamp(*word, at_, last) : last;
    return {at_, {}};
}

void Fold::pass_unseen(Timestamp t) {
    if (t <= at_) return;
    gravity_.shift(t - at_);
    unseen_ += t - at_;
    at_ = heard_until_ = t;
}

void Fold::enter(const BatchInputs& inputs, const StageEntry& stage) {
    if (stage_since_) gas_.inflate_covariance();
    stage_since_ = stage.at;
    gravity_.set_plan(plan_from(inputs.context, at_));
}

/// Brew day is over: the curve begins when the yeast meets the wort.
void Fold::begin_cold_side(const BatchInputs& inputs, const StageEntry& stage) {
    is_cold_side_ = true;
    ferments_ = stage.kind == StageKind::ferment;
    gravity_ = gravity::GravityCurve{inputs.context.gravity, std::max(stage.at, inputs.started)};
    gravity_.set_plan(plan_from(inputs.context, at_));
    if (!ferments_) gas_ = gas::DissolvedGas{gas_context(inputs.context, start_of(stage.kind))};
}

void Fold::step_gravity(const BatchInputs& inputs, Timestamp from, const StageEntry& stage) {
    const auto seen_c = inputs.beer_temperature.quarter(from);
    if (seen_c) beer_c_ = seen_c->value;
    std::optional<gravity::GravityBin> bin;
    if (const auto seen = inputs.gravity.quarter(from))
        bin = gravity::GravityBin{seen->value, static_cast<int>(seen->count)};
    const auto& hands = inputs.hand_gravity;
    for (; gravity_taken_ < hands.size() && hands[gravity_taken_].at < at_; ++gravity_taken_)
        gravity_.measure(hands[gravity_taken_].at, hands[gravity_taken_].value);
    const auto& forced = inputs.forced_ferments;
    for (; forced_taken_ < forced.size() && forced[forced_taken_].at < at_; ++forced_taken_)
        gravity_.measure_forced(forced[forced_taken_].at, forced[forced_taken_].value);
    if (!ferments_) return;
    gravity_.step(at_, seen_c ? std::optional{seen_c->value} : std::nullopt, bin, stage.kind);
}

void Fold::step_gas(const BatchInputs& inputs, Timestamp from, const StageEntry& stage) {
    if (const auto air = inputs.barometric_pressure.quarter(from))
        ambient_ = base::Pressure::from_kpa_absolute(air->value);
    if (!beer_c_) return;
    const auto produced = ferments_ ? gravity_.co2_volumes_per_hour() : std::nullopt;
    const double hours = base::hours_between(from, from + joining.gas_step);
    for (Timestamp t = from; t < at_; t += joining.gas_step) {
        // A hand reading counts from the step after it on: the first step tells what it is a correction of.
        const auto& hands = inputs.hand_co2;
        for (; !gas_.is_new() && co2_taken_ < hands.size() && hands[co2_taken_].at < t; ++co2_taken_)
            gas_.measure(hands[co2_taken_].value);
        const auto& purges = inputs.purges;
        for (; !gas_.is_new() && purges_taken_ < purges.size() && purges[purges_taken_].at < t;
             ++purges_taken_)
            gas_.purge(purges[purges_taken_].value);
        const auto here = inputs.beer_temperature.five_minutes(t);
        const auto head = inputs.head_pressure.five_minutes(t);
        gas::GasStep step;
        step.from = t;
        step.to = t + joining.gas_step;
        step.beer_c = here ? here->value : *beer_c_;
        step.ambient = ambient_;
        if (head)
            step.head_kpa = head->value;
        else if (const auto hand = read_by_hand(inputs.hand_pressure, t, step.to))
            step.head_kpa = hand, step.by_hand = true;
        step.head_space = stage.head_space;
        step.set_kpa = stage.head_pressure_kpa;
        if (produced) {
            step.produced_volumes = std::max(0.0, produced->value) * hours;
            step.produced_sigma = statistics::sigma_of(*produced) * hours;
            step.fermenting = produced->value > joining.fermenting_volumes_per_h;
        }
        gas_.step(step);
    }
}

/// Of gauge and thermometer, since the vessel was shut; nothing where it is not, or too little has been read.
std::optional<gas::Rise> Fold::rise(const BatchInputs& inputs) const {
    constexpr gas::RiseParameters looking;
    const double shut_h = gas_.shut_hours();
    const double window_h =
        std::min(std::max(looking.window_share * shut_h, std::min(shut_h, looking.window_h_min)),
                 looking.window_h_max);
    std::vector<double> hours, kpa, warm_hours, celsius;
    for (Timestamp t = at_ - joining.gas_step; base::hours_between(t, at_) <= window_h;
         t -= joining.gas_step) {
        const double hour = base::hours_between(at_, t);
        if (const auto head = inputs.head_pressure.five_minutes(t))
            hours.push_back(hour), kpa.push_back(head->value);
        if (const auto beer = inputs.beer_temperature.five_minutes(t))
            warm_hours.push_back(hour), celsius.push_back(beer->value);
    }
    const auto line = statistics::fit_line(hours, kpa);
    if (!line) return std::nullopt;
    const auto warming = statistics::fit_line(warm_hours, celsius);
    const double variance =
        std::max(looking.kpa_variance_min, line->squares / static_cast<double>(hours.size()));
    return gas::Rise{line->slope, std::sqrt(variance / line->spread), warming ? warming->slope : 0,
                     shut_h + hours.back() / 2};
}

/// Gravity and gas meet: where the vessel ends, shut now, with the sugar that is left.
base::Estimates Fold::closing(const BatchInputs& inputs, std::optional<gas::Rise> rise) const {
    const auto contents = gas_.contents();
    if (contents.empty()) return {};
    std::vector<gas::SugarLeft> sugar;
    if (ferments_)
        for (const gravity::DropLeft& left : gravity_.drops_left())
            sugar.push_back({left.drop, left.weight, left.falls_sg_per_h});
    const BatchContext& batch = inputs.context;
    gas::ClosingConditions conditions;
    conditions.beer_c = gas_.beer_c().value_or(batch.warmest_c);
    conditions.warmest_c = batch.warmest_c;
    conditions.ambient = ambient_;
    conditions.rise = rise;
    if (batch.lowest_rated_kpa)
        conditions.bearable_kpa = brewing::bearable_kpa(*batch.lowest_rated_kpa, batch.relief_kpa);
    return gas::closing_outlook(contents, sugar, conditions);
}

/// Beer that came in finished: where it stands is what the sensor says, give or take its usual bias.
base::Estimates Fold::gravity_of_finished_beer(const BatchInputs& inputs) const {
    std::vector<double> seen;
    const Timestamp earliest = std::max(at_ - joining.finished_window, grid_at_or_before(inputs.started));
    for (Timestamp t = earliest; t < at_; t += grid)
        if (const auto quarter = inputs.gravity.quarter(t)) seen.push_back(quarter->value);
    if (seen.empty()) return {};
    const double sg = statistics::median(std::move(seen));
    return {{Quantity::gravity_now, {sg, sg - joining.finished_bias_sg, sg + joining.finished_bias_sg}}};
}

}  // namespace gyled::estimation
