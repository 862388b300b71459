#pragma once
/// What a quantity can be at all.

#include "daemon/base/quantity.hpp"

namespace gyled::sensors {

/// Both ends included, in the canonical unit.
struct Range {
    double low, high;
    [[nodiscard]] bool holds(double x) const { return x >= low && x <= high; }
};

/// Wide enough for everything that happens between strike water and glass, narrow enough for a wrong unit or
/// a broken probe. `absolute` concerns head and supply pressure, kPa absolute instead of gauge. All are
/// common practice.
[[nodiscard]] Range default_range(base::Quantity q, bool absolute);

}  // namespace gyled::sensors
