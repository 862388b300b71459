#include "tests/simulation/ferments/judge/rows.hpp"

#include <algorithm>
#include <array>

namespace gyled::ferment_worlds {

void judge(const Lived& lived, Ledger& ledger) {
    judge_forecasts(lived, ledger);
    judge_now(lived, ledger);
    judge_facts(lived, ledger);
}

std::string phase_of(const World& world, double hour) {
    if (world.stopped_h && hour > *world.stopped_h) return "after a stall";
    if (world.chilled_h && hour > *world.chilled_h) return "after a crash";
    if (world.creeps_h && hour > *world.creeps_h) return "after a creep";
    constexpr double lag_ends = 0.05, tail_begins = 0.90;
    const double done = world.share_done(hour);
    if (done < lag_ends) return "lag";
    return done < tail_begins ? "active" : "tail";
}

bool is_published(std::string_view family) {
    constexpr std::array published{"logistic",     "five-parameter",   "gompertz", "activated-biomass",
                                   "three-sugars", "nitrogen-limited", "at-once"};
    return std::ranges::find(published, family) != published.end();
}

}  // namespace gyled::ferment_worlds
