#pragma once
/// One reading as it is remembered: when, and what.

#include "daemon/base/time.hpp"

namespace gyled::sensors {

using base::Duration;
using base::Timestamp;

/// Canonical unit, event time. Plain values: written to the store and read back bit for bit.
struct Past {
    Timestamp at;
    double value = 0;
    friend bool operator==(const Past&, const Past&) = default;
};

}  // namespace gyled::sensors
