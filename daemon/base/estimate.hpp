#pragma once
/// What we believe, with its doubt.

#include <map>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"

namespace gyled::base {

/// A value with its 90 % interval: we are wrong one time in ten, half of those on either side.
/// Moments are in Unix seconds; `high` may be +infinity when no end is in sight.
struct Estimate {
    double value = 0;
    double low = 0;
    double high = 0;
    friend bool operator==(const Estimate&, const Estimate&) = default;
};

/// Everything believed at one moment. What nobody could know is not in the map.
using Estimates = std::map<Quantity, Estimate>;

}  // namespace gyled::base
