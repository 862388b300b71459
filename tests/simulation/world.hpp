#pragma once
/// One simulated batch lived through by the real core: what was true, and what was believed at the time.

#include <string>
#include <vector>

#include "daemon/cellar/cellar.hpp"
#include "sensors/virtual_vessel/plant/instruments.hpp"

namespace gyled::simulation {

using base::Timestamp;

struct Belief {
    Timestamp at;
    base::Estimates estimates;
};

struct Told {
    Timestamp at;  ///< when it was said (or taken back)
    estimation::FactKind kind{};
    bool revoked = false;
};

struct World {
    virtual_vessel::Scenario scenario;
    std::vector<virtual_vessel::Truth> truths;  ///< each 5 min; each minute of a short one
    std::vector<Belief> beliefs;                ///< each 15 min, as believed then
    std::vector<Told> facts;                    ///< in order of saying
    std::vector<alarms::Transition> alarms;
    std::vector<virtual_vessel::Sample> gravity_readings;  ///< for the simple methods
    double seconds = 0;                                    ///< of wall time in the core

    [[nodiscard]] const virtual_vessel::Truth& truth_at(Timestamp t) const;
};

/// Deterministic from the scenario.
[[nodiscard]] World live_through(const virtual_vessel::Scenario& scenario);

/// The plan a brewer would have written for it, expectation of the final gravity included.
[[nodiscard]] batch::Plan plan_of(const virtual_vessel::Scenario& scenario);

}  // namespace gyled::simulation
