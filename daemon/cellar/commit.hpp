#pragma once
/// One commit: what happened, and where that leaves everything that remembers. All of one moment: a store
/// writes all of it in one transaction or nothing, so that a restart finds no half of it. Plain values.

#include <map>
#include <string>
#include <vector>

#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/vessel_state.hpp"
#include "daemon/estimation/gravity/prior.hpp"
#include "sensors/state.hpp"

namespace gyled::cellar {

struct Commit {
    Effects effects{};
    std::vector<VesselState> states{};                          ///< known by vessel, the last one wins
    std::map<std::string, estimation::LearnedCurve> learned{};  ///< by culture name
    std::vector<sensors::SensorState> sensors{};                ///< of the intake, known by sensor
};

}  // namespace gyled::cellar
