#pragma once
/// What the shape of the head pressure tells of the relief valve: it rises to where the valve opens, falls at
/// once to where it seats again, and rises anew. So its true figures are learnt, whatever is stamped on it.

#include "daemon/base/time.hpp"

namespace gyled::estimation::gas {

/// What a relief valve has done since its vessel was last seen without a rise to it. Gauge kPa.
struct ReliefHistory {
    int count = 0;                ///< openings
    base::Timestamp first, last;  ///< of them, event time
    double opens_kpa = 0;         ///< median of the pressures at which it opened
    double reseats_kpa = 0;  ///< likewise, at which it seated; where it still blows: the lowest seen so far
    friend bool operator==(const ReliefHistory&, const ReliefHistory&) = default;
};

}  // namespace gyled::estimation::gas
