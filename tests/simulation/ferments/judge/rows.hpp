#pragma once
/// Which rows a lived world speaks to. A world is asked everything; what does not apply to it says nothing.
///
/// A row is "quantity, when or phase, family". Gravities in points (0.001 SG), times in hours since pitching,
/// attenuation in percent. Phases: lag to 5 % of the drop, active to 90 %, tail; after a crash once the cold
/// has come, after a stall, after a creep.

#include "tests/simulation/ferments/judge/peers.hpp"
#include "tests/simulation/ferments/judge/watch.hpp"
#include "tests/simulation/judging/ledger.hpp"

namespace gyled::ferment_worlds {

using judging::Ledger;

struct Lived {
    const World& world;
    const Diary& diary;
};

// The other methods, as the ledger calls them.
inline constexpr const char* fit_method = "five-parameter fit";
inline constexpr const char* line_method = "two-day line";
inline constexpr const char* last_method = "last reading";

/// Finish time at 40, 60 and 80 % of the drop, final gravity at half and at three quarters.
void judge_forecasts(const Lived& lived, Ledger& ledger);
/// Gravity and attenuation, each six hours.
void judge_now(const Lived& lived, Ledger& ledger);
/// Started, stalled, finished, resumed: said when it was so, and only then.
void judge_facts(const Lived& lived, Ledger& ledger);

void judge(const Lived& lived, Ledger& ledger);  ///< all of these

[[nodiscard]] std::string phase_of(const World& world, double hour);

/// Does the family count among "all families": healthy ones of published form, a reading each quarter of an
/// hour?
[[nodiscard]] bool is_published(std::string_view family);

}  // namespace gyled::ferment_worlds
