#pragma once
/// Where a batch stands in its stage, as a table: state and event give the next state and what is to be done.
/// Only policy lives here: no clock and no text; the vessel feeds events and does what the rows say. What has
/// to be measured on the way to a stage's end is the stage clock's business (stage_clock.hpp).

#include <cstdint>

namespace gyled::batch {

enum class Standing : std::uint8_t {
    idle,         ///< no batch in the vessel
    under_way,    ///< in a stage whose end has not been met
    end_reached,  ///< the planned end was met and told; the person moves on
};

enum class StageEvent : std::uint8_t {
    started,    ///< the batch begins with its first stage
    moved_on,   ///< the person, or the time that the plan gives, enters another stage
    end_met,    ///< what the plan says of the stage's end has come true
    closed,     ///< the batch is over
    withdrawn,  ///< the person takes the last step back: it is as if it had not been
};

enum class StageEffect : std::uint8_t {
    none,
    enter,     ///< the stage's bands and valves apply from now on; its clock starts anew
    tell_end,  ///< record when the end was met and say it, once
    close,     ///< record the end of the batch; nothing of it applies any more
    resume,    ///< the stage before stands again, with its clock and its end, told or not, as it was left
    reopen,    ///< the batch that has ended stands again where it stood
};

struct StageRow {
    Standing from;
    StageEvent on;
    Standing to;
    StageEffect effect;
};

// clang-format off
inline constexpr StageRow stage_table[] = {
    {Standing::idle,        StageEvent::started,  Standing::under_way,   StageEffect::enter},
    {Standing::under_way,   StageEvent::end_met,  Standing::end_reached, StageEffect::tell_end},
    {Standing::under_way,   StageEvent::moved_on, Standing::under_way,   StageEffect::enter},
    {Standing::under_way,   StageEvent::closed,   Standing::idle,        StageEffect::close},
    {Standing::end_reached, StageEvent::moved_on, Standing::under_way,   StageEffect::enter},
    {Standing::end_reached, StageEvent::closed,   Standing::idle,        StageEffect::close},
    {Standing::under_way,   StageEvent::withdrawn, Standing::under_way,  StageEffect::resume},
    {Standing::end_reached, StageEvent::withdrawn, Standing::under_way,  StageEffect::resume},
    {Standing::idle,        StageEvent::withdrawn, Standing::under_way,  StageEffect::reopen},
};
// clang-format on

/// What `event` does where the batch stands. A pair that is not in the table changes nothing.
[[nodiscard]] constexpr StageRow step(Standing now, StageEvent event) {
    for (const StageRow& row : stage_table)
        if (row.from == now && row.on == event) return row;
    return {now, event, now, StageEffect::none};
}

static_assert(step(Standing::end_reached, StageEvent::end_met).effect == StageEffect::none, "told once");
static_assert(step(Standing::idle, StageEvent::moved_on).effect == StageEffect::none, "no batch, no stage");
static_assert(step(Standing::under_way, StageEvent::started).effect == StageEffect::none,
              "one batch a vessel");

}  // namespace gyled::batch
