/// A small slice of the table, so that what is held already is not lost again. A row that becomes held is
/// added; one seed more or less must not decide, so only what is held with room belongs here.

#include <gtest/gtest.h>

#include <algorithm>

#include "tests/simulation/pressure/judge/lines.hpp"
#include "tests/simulation/pressure/judge/live.hpp"

namespace gyled::pressure_worlds {
namespace {

using judging::Ledger, judging::Line;

constexpr int seeds = 2;
constexpr std::string_view worlds[] = {"supplied", "closed-with-sugar", "blocked-vent", "leak", "healthy"};

struct Kept {
    std::string_view row, target;
};
constexpr Kept kept[] = {
    {"co2_volumes, supplied, carbonate, purged", "score below the chart's"},
    {"first warning an hour ahead, shut with sugar", "all"},
    {"first warning an hour ahead, vent blocked", "all"},
    {"leak_suspected in 24 h", "all"},
    {"leak_suspected, false", "at most 0 %"},
};

TEST(PressureSlice, KeepsWhatIsHeld) {
    Ledger ledger;
    for (const Kind& kind : kinds())
        if (std::ranges::count(worlds, kind.name) > 0) live_through(kind, seeds, ledger);
    const std::vector<Line> lines = lines_of(ledger);

    for (const Kept& one : kept) {
        const auto line = std::ranges::find_if(
            lines, [&](const Line& l) { return l.row == one.row && l.target == one.target; });
        ASSERT_NE(line, lines.end()) << one.row << ": no such row any more";
        EXPECT_TRUE(line->met) << one.row << " came to " << line->figure << "; " << line->target;
    }
}

}  // namespace
}  // namespace gyled::pressure_worlds
