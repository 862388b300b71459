#pragma once
/// What the parts of a score share: finding beliefs and moments in a lived world.

#include <functional>
#include <optional>

#include "tests/simulation/score.hpp"

namespace gyled::simulation {

void score_gravity(const World& world, Score& score);
void score_facts(const World& world, Score& score);
void score_gas(const World& world, Score& score);
void score_outlooks(const World& world, Score& score);

/// Beliefs are looked at each six hours: neighbours in time say nearly the same.
[[nodiscard]] bool is_time_to_look(Timestamp at);
[[nodiscard]] const base::Estimate* find(const Belief& belief, base::Quantity quantity);
/// The last belief told by then; none before the first.
[[nodiscard]] const Belief* belief_at(const World& world, Timestamp at);
/// The estimate believed at `at`; none when there was none.
[[nodiscard]] const base::Estimate* believed(const World& world, std::optional<Timestamp> at,
                                             base::Quantity quantity);
[[nodiscard]] std::optional<Timestamp> first_when(
    const World& world, const std::function<bool(const virtual_vessel::Truth&)>& is_so);

/// How the drop from original to terminal gravity went. Nothing for finished beer, and for a world that ends
/// before the fermentation does.
struct Drop {
    double original_sg, terminal_sg;
    std::optional<Timestamp> within_7, within_5;  ///< 0.0007, 0.0005 of the end, for good

    [[nodiscard]] double share(double sg) const;
};
[[nodiscard]] std::optional<Drop> drop_of(const World& world);
/// First moment at which this share of the drop is done.
[[nodiscard]] std::optional<Timestamp> share_done(const World& world, const Drop& drop, double share);

[[nodiscard]] bool has(const World& world, virtual_vessel::TroubleKind kind);

}  // namespace gyled::simulation
