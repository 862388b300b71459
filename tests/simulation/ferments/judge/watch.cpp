#include "tests/simulation/ferments/judge/watch.hpp"

#include <algorithm>

namespace gyled::ferment_worlds {
namespace {

using namespace std::chrono_literals;

estimation::StageEntry entry_of(const StageTold& told) {
    constexpr double band_c = 1;
    return {told.at,
            told.kind,
            base::HeadSpace::vented,
            {},
            base::Band{told.celsius - band_c, told.celsius + band_c}};
}

estimation::BatchContext context_of(const World& world,
                                    const std::optional<estimation::LearnedCurve>& learned) {
    estimation::BatchContext context;
    context.total_volume_l = 26;
    context.beer_volume_l = 21;
    context.gravity.culture = world.culture;
    context.gravity.original_gravity = world.told_original_sg;
    context.gravity.expected_final_gravity = world.told_final_sg;
    context.gravity.learned = learned;
    for (const StageTold& told : world.planned) context.planned.push_back(entry_of(told));
    return context;
}

}  // namespace

Diary watch(const World& world, const std::optional<estimation::LearnedCurve>& learned) {
    estimation::BatchEstimator estimator{context_of(world, learned), world.begin};
    Diary diary;
    auto stage = world.stages.begin();
    auto reading = world.readings.begin();
    const Timestamp end = world.time_of(world.hours());
    for (Timestamp now = world.begin; now <= end; now += grid) {
        for (; stage != world.stages.end() && stage->at <= now; ++stage) estimator.enter(entry_of(*stage));
        for (; reading != world.readings.end() && reading->at <= now; ++reading) {
            if (reading->by_hand)
                estimator.measure(reading->quantity, reading->at, reading->value);
            else
                estimator.observe(reading->quantity, reading->at, reading->value);
        }
        for (auto& believed : estimator.advance(now))
            if (diary.beliefs.empty() || believed.at > diary.beliefs.back().at)
                diary.beliefs.push_back(std::move(believed));
    }
    diary.facts = estimator.facts();
    diary.learned = estimator.learned();
    return diary;
}

std::optional<base::Estimate> Diary::believed(Timestamp at, base::Quantity quantity) const {
    const auto after = std::ranges::upper_bound(beliefs, at, {}, &estimation::EstimateSet::at);
    if (after == beliefs.begin()) return std::nullopt;
    const auto& estimates = std::prev(after)->estimates;
    const auto found = estimates.find(quantity);
    return found == estimates.end() ? std::nullopt : std::optional{found->second};
}

}  // namespace gyled::ferment_worlds
