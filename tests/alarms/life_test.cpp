// The life of an alarm, row by row and as properties that hold for every row (terms of IEC 62682 / ISA-18.2).
#include "daemon/alarms/life.hpp"

#include <gtest/gtest.h>

#include <iterator>
#include <set>
#include <utility>

namespace gyled::alarms {
namespace {

// Proved while compiling.
static_assert(step(State::raised, Event::breached).action == Action::none, "it rings once");
static_assert(step(State::acknowledged, Event::breached).action == Action::none,
              "what was seen does not ring again");
static_assert(step(State::acknowledged, Event::worsened).action == Action::ring,
              "unless it grows more urgent");
static_assert(step(State::pending, Event::returned).action == Action::none, "what never rang is never over");
static_assert(step(State::raised, Event::eased).to == State::raised, "the deadband holds it");
static_assert(step(State::returning, Event::breached).action == Action::resume,
              "a short return does not ring anew");
static_assert(step(State::shelved, Event::breached).to == State::shelved, "a shelf keeps quiet");
static_assert(step(State::shelved, Event::returned).to == State::shelved, "until its end, come what may");
static_assert(step(State::normal, Event::acknowledged).action == Action::none, "nothing to acknowledge");
static_assert(step(State::pending, Event::shelved).to == State::pending, "only what stands can be shelved");

constexpr bool no_pair_twice() {
    for (std::size_t i = 0; i < std::size(life); ++i)
        for (std::size_t j = i + 1; j < std::size(life); ++j)
            if (life[i].from == life[j].from && life[i].on == life[j].on) return false;
    return true;
}
static_assert(no_pair_twice(), "the table has one answer to each question");

constexpr bool only_standing_alarms_end_aloud() {
    for (const Row& row : life) {
        if (row.action == Action::say_over && (!is_standing(row.from) || row.to != State::normal))
            return false;
        if (is_standing(row.from) && row.to == State::normal && row.action != Action::say_over) return false;
    }
    return true;
}
static_assert(only_standing_alarms_end_aloud(), "over is said exactly when something stood");

constexpr bool standing_begins_with_a_ring() {
    for (const Row& row : life)
        if (!is_standing(row.from) && is_standing(row.to) && row.action != Action::ring) return false;
    return true;
}
static_assert(standing_begins_with_a_ring(), "nothing stands that was not told");

constexpr Event all_events[] = {Event::breached,  Event::held,    Event::worsened, Event::eased,
                                Event::returned,  Event::settled, Event::shelved,  Event::acknowledged,
                                Event::unshelved, Event::lapsed,  Event::dropped};

TEST(Life, EveryStateIsReachedAndLeft) {
    std::set<State> reached{State::normal};
    for (bool grew = true; grew;) {
        grew = false;
        for (const Row& row : life)
            if (reached.count(row.from) != 0) grew = reached.insert(row.to).second || grew;
    }

    EXPECT_EQ(reached.size(), 6U);
    for (const State state : reached) {
        bool left = false;
        for (const Event event : all_events) left = left || step(state, event).to != state;
        EXPECT_TRUE(left) << name(state);
    }
}

TEST(Life, ADroppedRuleEndsEverything) {
    for (const State state : {State::normal, State::pending, State::raised, State::acknowledged,
                              State::returning, State::shelved})
        EXPECT_EQ(step(state, Event::dropped).to, State::normal) << name(state);
}

TEST(Life, NamesRoundTrip) {
    for (const Priority p : {Priority::low, Priority::medium, Priority::high, Priority::critical})
        EXPECT_EQ(priority_named(name(p)), p);
    for (const char* nonsense : {"", "High", "urgent", "low ", "critical\n"})
        EXPECT_FALSE(priority_named(nonsense)) << nonsense;
    EXPECT_EQ(name(State::normal), "cleared");
}

}  // namespace
}  // namespace gyled::alarms
