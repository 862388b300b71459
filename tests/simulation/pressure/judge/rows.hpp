#pragma once
/// Which rows a lived world speaks to. A world is asked everything; what does not apply to it says nothing.

#include "tests/simulation/judging/ledger.hpp"
#include "tests/simulation/pressure/judge/watch.hpp"

namespace gyled::pressure_worlds {

using judging::Answer, judging::Ledger, judging::Outcome;

struct Lived {
    const Tape& tape;
    const Diary& diary;
};

/// CO2 and the air above it, by head-space mode and stage; "carbonated".
void judge_gas(const Lived& world, Ledger& ledger);
/// The vessel shut: closed, warm, crash pressure.
void judge_outlooks(const Lived& world, Ledger& ledger);
/// The gravity from which closing is safe, while somebody waits for it.
void judge_closing_gravity(const Lived& world, Ledger& ledger);
/// A rise to the limit: its moment, the first warning, no early all-clear.
void judge_rise(const Lived& world, Ledger& ledger);
/// What had to be told, in time; and what must not be.
void judge_warnings(const Lived& world, Ledger& ledger);
/// Attenuation of a batch without a float.
void judge_gravity(const Lived& world, Ledger& ledger);

void judge(const Lived& world, Ledger& ledger);  ///< all of these

/// "supplied 7": kind and seed.
[[nodiscard]] std::string name_of(const Tape& tape);
/// The stage as last told of, then.
[[nodiscard]] const Told& told_at(const Tape& tape, Timestamp at);
/// "vented, ferment, active": mode and stage as told; a ferment is starting for 2.5 points, still within the
/// last one. What has gone wrong stands before it: "relief has lifted, sealed, ferment, active".
[[nodiscard]] std::string phase_of(const Tape& tape, const Truth& truth);
/// The lowest rated part, gauge kPa.
[[nodiscard]] double limit_of(const Script& script);
/// When the limit was met or the relief valve lifted first; nothing when never.
[[nodiscard]] std::optional<Timestamp> limit_met(const Tape& tape);

}  // namespace gyled::pressure_worlds
