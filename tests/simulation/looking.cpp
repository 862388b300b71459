#include "tests/simulation/looking.hpp"

#include <algorithm>

namespace gyled::simulation {

using namespace std::chrono_literals;
using base::Estimate;
using base::Quantity;
using virtual_vessel::Truth;

namespace {
constexpr double least_drop_sg = 0.010;
constexpr double nearly_there_sg = 0.0007;
constexpr double there_sg = 0.0005;
constexpr double settled_sg = 0.0003;  // of the end, a day before the world does
}  // namespace

bool is_time_to_look(Timestamp at) {
    return at.time_since_epoch() % 6h == 0min;
}

const Estimate* find(const Belief& belief, Quantity quantity) {
    const auto found = belief.estimates.find(quantity);
    return found == belief.estimates.end() ? nullptr : &found->second;
}

const Belief* belief_at(const World& world, Timestamp at) {
    const auto after = std::ranges::upper_bound(world.beliefs, at, {}, &Belief::at);
    return after == world.beliefs.begin() ? nullptr : &*std::prev(after);
}

const Estimate* believed(const World& world, std::optional<Timestamp> at, Quantity quantity) {
    const Belief* belief = at ? belief_at(world, *at) : nullptr;
    return belief == nullptr ? nullptr : find(*belief, quantity);
}

std::optional<Timestamp> first_when(const World& world, const std::function<bool(const Truth&)>& is_so) {
    const auto found = std::ranges::find_if(world.truths, is_so);
    return found == world.truths.end() ? std::nullopt : std::optional{found->time};
}

double Drop::share(double sg) const {
    return (original_sg - sg) / (original_sg - terminal_sg);
}

std::optional<Drop> drop_of(const World& world) {
    const Truth& end = world.truths.back();
    if (world.truth_at(end.time - 24h).sg - end.terminal_sg > settled_sg) return std::nullopt;
    if (world.scenario.fermented_already || end.original_gravity - end.terminal_sg < least_drop_sg)
        return std::nullopt;
    Drop drop{end.original_gravity, end.terminal_sg, {}, {}};
    // For good: scan from the end.
    for (auto truth = world.truths.rbegin(); truth != world.truths.rend(); ++truth) {
        const double left = truth->sg - drop.terminal_sg;
        if (left > nearly_there_sg) break;
        drop.within_7 = truth->time;
        if (left <= there_sg) drop.within_5 = truth->time;
    }
    return drop;
}

std::optional<Timestamp> share_done(const World& world, const Drop& drop, double share) {
    return first_when(world, [&](const Truth& truth) {
        return base::is_cold_side(truth.stage) && drop.share(truth.sg) >= share;
    });
}

bool has(const World& world, virtual_vessel::TroubleKind kind) {
    return std::ranges::count(world.scenario.troubles, kind, &virtual_vessel::Trouble::kind) > 0;
}

}  // namespace gyled::simulation
