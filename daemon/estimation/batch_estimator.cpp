#include "daemon/estimation/batch_estimator.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/estimation/snapshots.hpp"

namespace gyled::estimation {
namespace {

using base::Quantity;
using base::Timestamp;

/// So far may a clock be set forwards as if it were an outage: belief runs on, as through any gap of
/// readings.
constexpr base::Duration gap_lived_most = std::chrono::hours{24};

template <class Timed>
void insert_by_time(std::vector<Timed>& into, Timed one) {
    const auto place = std::ranges::upper_bound(into, one.at, {}, &Timed::at);
    into.insert(place, std::move(one));
}

/// The earliest moment at which two lists in order of time differ.
template <class Timed>
std::optional<Timestamp> first_difference(const std::vector<Timed>& a, const std::vector<Timed>& b) {
    const auto [x, y] = std::ranges::mismatch(a, b);
    if (x == a.end() && y == b.end()) return std::nullopt;
    if (x == a.end()) return y->at;
    return y == b.end() ? x->at : std::min(x->at, y->at);
}

}  // namespace

struct BatchEstimator::State {
    explicit State(BatchInputs given) : inputs{std::move(given)}, fold{inputs}, snapshots{fold} {}

    /// What is believed from `at` on must be folded again.
    void touch(Timestamp at) {
        if (at < snapshots.first() || at >= fold.at()) return;
        dirty_from = dirty_from ? std::min(*dirty_from, at) : at;
    }
    void touch(std::optional<Timestamp> at) {
        if (at) touch(std::max(*at, snapshots.first()));
    }

    void start_anew() {
        fold = Fold{inputs};
        snapshots = Snapshots{fold};
        dirty_from = fold.at();
    }

    /// After the clock was set back, what is left may end long before: that time was not lived through.
    void pass_what_was_not_lived() {
        if (!was_set_back_to) return;
        const auto word = inputs.next_word(fold.at());
        if (word && *word < *was_set_back_to) return;
        if (*was_set_back_to - fold.at() > gap_lived_most) fold.pass_unseen(*was_set_back_to);
        was_set_back_to.reset();
    }

    EstimateSet step(Timestamp last) {
        if (fold.is_blind() && !inputs.says_something(fold.at())) return fold.leap(inputs, last);
        return fold.step(inputs);
    }

    void rewind() {
        fold = snapshots.rewind_to(*dirty_from);
        dirty_from.reset();
    }

    [[nodiscard]] BinnedSeries* series_of(Quantity quantity) {
        switch (quantity) {
            case Quantity::beer_temperature:
                return &inputs.beer_temperature;
            case Quantity::gravity:
                return &inputs.gravity;
            case Quantity::head_pressure:
                return &inputs.head_pressure;
            case Quantity::barometric_pressure:
                return &inputs.barometric_pressure;
            default:
                return nullptr;
        }
    }
    [[nodiscard]] std::vector<HandReading>& hands_of(Quantity quantity) {
        switch (quantity) {
            case Quantity::gravity:
                return inputs.hand_gravity;
            case Quantity::head_pressure:
                return inputs.hand_pressure;
            case Quantity::purge_cycles:
                return inputs.purges;
            case Quantity::forced_final_gravity:
                return inputs.forced_ferments;
            default:
                return inputs.hand_co2;
        }
    }

    void join_facts() {
        facts = fold.gravity().facts();
        facts.insert(facts.end(), fold.gas().facts().begin(), fold.gas().facts().end());
        std::ranges::stable_sort(facts, {}, &Fact::at);
    }

    BatchInputs inputs;
    Fold fold;
    Snapshots snapshots;
    std::optional<Timestamp> dirty_from, was_set_back_to;
    EstimateSet latest;
    std::vector<Fact> facts;
};

BatchEstimator::BatchEstimator(BatchContext context, Timestamp started)
    : state_{std::make_unique<State>(BatchInputs{.context = std::move(context), .started = started})} {}
BatchEstimator::~BatchEstimator() = default;
BatchEstimator::BatchEstimator(BatchEstimator&&) noexcept = default;
BatchEstimator& BatchEstimator::operator=(BatchEstimator&&) noexcept = default;

void BatchEstimator::observe(Quantity quantity, Timestamp at, double value) {
    BinnedSeries* series = state_->series_of(quantity);
    if (series == nullptr || !std::isfinite(value)) return;
    if (series->add(at, value)) state_->touch(at);
}

bool BatchEstimator::uses(Quantity quantity) {
    return quantity == Quantity::gravity || quantity == Quantity::co2_volumes ||
           quantity == Quantity::head_pressure || quantity == Quantity::purge_cycles ||
           quantity == Quantity::forced_final_gravity;
}

void BatchEstimator::measure(Quantity quantity, Timestamp at, double value) {
    if (!uses(quantity) || !std::isfinite(value)) return;
    insert_by_time(state_->hands_of(quantity), HandReading{at, value});
    state_->touch(std::optional{at});
}

void BatchEstimator::set_measurements(Quantity quantity, std::vector<HandReading> readings) {
    if (!uses(quantity)) return;
    std::erase_if(readings, [](const HandReading& r) { return !std::isfinite(r.value); });
    std::ranges::stable_sort(readings, {}, &HandReading::at);
    auto& hands = state_->hands_of(quantity);
    state_->touch(first_difference(hands, readings));
    hands = std::move(readings);
}

void BatchEstimator::enter(StageEntry stage) {
    state_->touch(std::optional{stage.at});
    insert_by_time(state_->inputs.stages, stage);
}

void BatchEstimator::set_stages(std::vector<StageEntry> stages) {
    std::ranges::stable_sort(stages, {}, &StageEntry::at);
    state_->touch(first_difference(state_->inputs.stages, stages));
    state_->inputs.stages = std::move(stages);
}

void BatchEstimator::correct(BatchContext context) {
    state_->inputs.context = std::move(context);
    state_->start_anew();
}

void BatchEstimator::set_started(Timestamp started) {
    state_->inputs.started = started;
    state_->start_anew();
}

void BatchEstimator::set_back(Timestamp now) {
    state_->inputs.forget_after(now);
    if (state_->fold.at() <= now) return;
    state_->fold = state_->snapshots.rewind_to(now);
    state_->dirty_from.reset();
    state_->was_set_back_to = grid_at_or_before(now);
}

void BatchEstimator::set_forward(Timestamp now) {
    const Timestamp last = grid_at_or_before(now);
    if (last - state_->fold.at() > gap_lived_most) state_->fold.pass_unseen(last);
}

std::vector<EstimateSet> BatchEstimator::advance(Timestamp now, std::size_t steps_max) {
    std::vector<EstimateSet> sets;
    if (state_->dirty_from) state_->rewind();
    const Timestamp last = grid_at_or_before(now);
    while (state_->fold.at() < last && sets.size() < steps_max) {
        state_->pass_what_was_not_lived();
        if (state_->fold.at() >= last) break;
        sets.push_back(state_->step(last));
        state_->snapshots.add(state_->fold);
    }
    if (!sets.empty() && state_->fold.at() >= last) {
        state_->latest = sets.back();
        state_->join_facts();
    }
    return sets;
}

bool BatchEstimator::is_behind(Timestamp now) const {
    return has_late_readings() || state_->fold.at() < grid_at_or_before(now);
}
bool BatchEstimator::has_late_readings() const {
    return state_->dirty_from.has_value();
}
const EstimateSet& BatchEstimator::latest() const {
    return state_->latest;
}
base::Estimates BatchEstimator::closing_given(const gas::Rise& rise) const {
    return state_->fold.closing(state_->inputs, rise);
}
std::optional<Foresight> BatchEstimator::foresight() const {
    const StageEntry* const stage = state_->inputs.stage_at(state_->fold.at());
    if (stage == nullptr || !base::is_cold_side(stage->kind)) return std::nullopt;
    return Foresight{state_->fold, state_->inputs.context, *stage};
}
const std::vector<Fact>& BatchEstimator::facts() const {
    return state_->facts;
}
std::optional<LearnedCurve> BatchEstimator::learned() const {
    return state_->fold.gravity().learned();
}
std::optional<gas::LearnedUptake> BatchEstimator::learned_uptake() const {
    return state_->fold.gas().learned();
}

}  // namespace gyled::estimation
