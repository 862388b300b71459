#pragma once
/// What the gauge of a shut vessel tells of its yeast: how fast CO2 is set free, and so which guesses at the
/// sugar left can be right. The gauge is finer than any float: 0.01 volumes an hour, a fiftieth of a gravity
/// point, raise it by 3 kPa in the first hour.
///
/// Gas that has just been set free stands above the beer; within an hour or so the beer takes its share, four
/// fifths of it. An importance reweighting by the rate alone: pure functions, safe on any thread. Pressures
/// kPa gauge, CO2 in volumes per litre of beer.

#include <optional>
#include <vector>

#include "daemon/base/pressure.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/sealed_vessel.hpp"

namespace gyled::estimation::gas {

/// One way in which the sugar may stand: from the gravity as it is to the end.
struct SugarLeft {
    brewing::GravityDrop drop;
    double weight = 0;
    double falls_sg_per_h = 0;  ///< now
};

/// How the gauge of a shut vessel rises.
struct Rise {
    double kpa_per_h = 0;  ///< falls when negative
    double sigma = 0;      ///< of a line through the readings
    double c_per_h = 0;    ///< how the beer's temperature moves meanwhile
    double shut_h = 0;     ///< for so long in the middle of it
};

/// How gas shares itself out in this vessel.
struct Sharing {
    double kpa_per_volume = 0;  ///< that stands above the beer
    double settled_share = 0;   ///< of what is set free, above the beer once both are at equilibrium
    double in_beer = 0;         ///< volumes dissolved
};

/// At this temperature and about this pressure of CO2; of what is dissolved nothing is known.
[[nodiscard]] Sharing sharing_in(const brewing::SealedVessel& vessel, double beer_c, base::Pressure co2);

/// The same hypotheses, weighted anew. A gauge may be wrong and a valve not quite shut: none is ruled out.
[[nodiscard]] std::vector<SugarLeft> sugar_given(std::vector<SugarLeft> sugar, const Rise& rise,
                                                 const Sharing& sharing);

}  // namespace gyled::estimation::gas
