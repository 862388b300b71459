#pragma once
/// The shapes in which the past is asked for: storage fills them, screens show them.

#include <optional>
#include <string>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"

namespace gyled::cellar {

/// Down-sampled history, ascending, one entry per bucket that holds anything. Canonical units
/// (base/quantity.hpp). Measured: mean, min and max of the accepted readings. Estimated: mean of the value,
/// the lowest low and the highest high; a moment's `high` may be +infinity. The four vectors have one length.
struct Trend {
    std::vector<base::Timestamp> at;  ///< where the bucket starts
    std::vector<double> value, low, high;
    friend bool operator==(const Trend&, const Trend&) = default;
};

/// One stored value as it is: an accepted reading, or a belief.
struct StoredValue {
    base::Timestamp at;
    base::Quantity quantity{};
    std::string sensor;      ///< empty: a belief
    base::Estimate value{};  ///< of a reading all three are equal; a belief's `high` may be +infinity
    friend bool operator==(const StoredValue&, const StoredValue&) = default;
};

/// Stored values in order of time, readings first within a moment. A moment is whole or not in it at all.
struct StoredValues {
    std::vector<StoredValue> values;
    std::optional<base::Timestamp> next;  ///< ask again from here; nothing: these were all
};

/// Where a page of alarms ended, newest first: ordered by the time of the last transition, then by id.
struct AlarmPlace {
    base::Timestamp at;
    std::string alarm;  ///< id of the occurrence
    friend bool operator==(const AlarmPlace&, const AlarmPlace&) = default;
};

}  // namespace gyled::cellar
