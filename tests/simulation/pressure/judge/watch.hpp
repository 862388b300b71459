#pragma once
/// A tape lived through by the real core: readings and the brewer's words in, what it believed and said out.

#include <string_view>
#include <vector>

#include "daemon/cellar/cellar.hpp"
#include "tests/simulation/pressure/truth/tape.hpp"

namespace gyled::pressure_worlds {

struct Belief {
    Timestamp at;
    base::Estimates estimates;
};

struct Said {
    Timestamp at;           ///< when it was said or taken back
    std::string_view what;  ///< name of the fact
    bool revoked = false;
};

/// All as first said: what late readings change afterwards helped nobody.
struct Diary {
    std::vector<Belief> beliefs;                  ///< each quarter of an hour
    std::vector<Said> facts;                      ///< in order of saying
    std::vector<alarms::Transition> transitions;  ///< likewise

    /// Believed last by then; nothing when the quantity was not, or is none that this build knows.
    [[nodiscard]] const base::Estimate* believed(Timestamp at, std::string_view quantity) const;
    /// First raise or fact of that name between the two moments; rules and facts alike.
    [[nodiscard]] std::optional<Timestamp> first_told(std::string_view name, Timestamp from,
                                                      Timestamp to) const;
    /// First raise that rings: at high or critical priority.
    [[nodiscard]] std::optional<Timestamp> first_rung(std::string_view rule, Timestamp from,
                                                      Timestamp to) const;
    /// First return to normal of that rule after `from`.
    [[nodiscard]] std::optional<Timestamp> first_returned(std::string_view rule, Timestamp from) const;
};

[[nodiscard]] Diary watch(const Tape& tape);

}  // namespace gyled::pressure_worlds
