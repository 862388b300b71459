// The life of an alarm, row by row and as properties that hold for every row (terms of IEC 62682 / ISA-18.2).
#include "daemon/alarms/life.hpp"

#include <gtest/gtest.h>

#include <iterator>
#include <set>
#include <utility>

namespace gyled::alarms {
namespace {

// Proved while compiling.
static_assert(step(AlarmState::raised, Event::breached).action == Action::none, "it is raised once");
static_assert(step(AlarmState::acknowledged, Event::breached).action == Action::none,
              "what was seen is not raised again");
static_assert(step(AlarmState::acknowledged, Event::worsened).action == Action::raise,
              "unless it grows more urgent");
static_assert(step(AlarmState::acknowledged, Event::expired).action == Action::raise, "or is forgotten");
static_assert(step(AlarmState::pending, Event::returned).action == Action::none,
              "what was never raised does not return");
static_assert(step(AlarmState::raised, Event::eased).to == AlarmState::raised, "the deadband holds it");
static_assert(step(AlarmState::returning, Event::breached).action == Action::resume,
              "a short return raises nothing anew");
static_assert(step(AlarmState::shelved, Event::breached).to == AlarmState::shelved, "a shelf keeps quiet");
static_assert(step(AlarmState::shelved, Event::returned).to == AlarmState::shelved,
              "until its end, come what may");
static_assert(step(AlarmState::normal, Event::acknowledged).action == Action::none, "nothing to acknowledge");
static_assert(step(AlarmState::pending, Event::shelved).to == AlarmState::pending,
              "only what stands can be shelved");

constexpr bool no_pair_twice() {
    for (std::size_t i = 0; i < std::size(life); ++i)
        for (std::size_t j = i + 1; j < std::size(life); ++j)
            if (life[i].from == life[j].from && life[i].on == life[j].on) return false;
    return true;
}
static_assert(no_pair_twice(), "the table has one answer to each question");

constexpr bool only_standing_alarms_are_cleared() {
    for (const Row& row : life) {
        if (row.action == Action::clear && (!is_standing(row.from) || row.to != AlarmState::normal))
            return false;
        if (is_standing(row.from) && row.to == AlarmState::normal && row.action != Action::clear)
            return false;
    }
    return true;
}
static_assert(only_standing_alarms_are_cleared(), "a step to normal is taken exactly when something stood");

constexpr bool standing_begins_with_a_raise() {
    for (const Row& row : life)
        if (!is_standing(row.from) && is_standing(row.to) && row.action != Action::raise) return false;
    return true;
}
static_assert(standing_begins_with_a_raise(), "nothing stands that was not raised");

constexpr Event all_events[] = {Event::breached,  Event::held,    Event::worsened, Event::eased,
                                Event::returned,  Event::settled, Event::shelved,  Event::acknowledged,
                                Event::unshelved, Event::lapsed,  Event::expired,  Event::not_applicable};

TEST(Life, EveryStateIsReachedAndLeft) {
    std::set<AlarmState> reached{AlarmState::normal};
    for (bool grew = true; grew;) {
        grew = false;
        for (const Row& row : life)
            if (reached.count(row.from) != 0) grew = reached.insert(row.to).second || grew;
    }

    EXPECT_EQ(reached.size(), 6U);
    for (const AlarmState state : reached) {
        bool left = false;
        for (const Event event : all_events) left = left || step(state, event).to != state;
        EXPECT_TRUE(left) << name(state);
    }
}

TEST(Life, ADroppedRuleEndsEverything) {
    for (const AlarmState state : {AlarmState::normal, AlarmState::pending, AlarmState::raised,
                                   AlarmState::acknowledged, AlarmState::returning, AlarmState::shelved})
        EXPECT_EQ(step(state, Event::not_applicable).to, AlarmState::normal) << name(state);
}

TEST(Life, NamesRoundTrip) {
    for (const Priority p : {Priority::low, Priority::medium, Priority::high, Priority::critical})
        EXPECT_EQ(priority_named(name(p)), p);
    for (const char* nonsense : {"", "High", "urgent", "low ", "critical\n"})
        EXPECT_FALSE(priority_named(nonsense)) << nonsense;
    EXPECT_EQ(name(AlarmState::normal), "cleared");
}

}  // namespace
}  // namespace gyled::alarms
