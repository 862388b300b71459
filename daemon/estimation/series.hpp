#pragma once
/// Readings gathered into short bins of event time, so that arrival order does not matter and memory stays
/// bounded.

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "daemon/base/time.hpp"

namespace gyled::estimation {

using base::Duration;
using base::Timestamp;

/// What fell into one bin.
struct Bin {
    std::int64_t index = 0;  ///< start of the bin / width
    std::uint32_t count = 0;
    double sum = 0, min = 0, max = 0;
    /// The mean without the two extremes where there are three readings or more: one wild value does no harm.
    [[nodiscard]] double middle() const;
};

/// Readings of one quantity. Adding out of order gives the same bins as adding in order (but for rounding of
/// sums).
class BinnedSeries {
public:
    explicit BinnedSeries(Duration width = std::chrono::minutes{1}) : width_{width} {}

    void add(Timestamp at, double value);
    /// Bins that start in [from, to).
    [[nodiscard]] std::span<const Bin> between(Timestamp from, Timestamp to) const;
    [[nodiscard]] Timestamp middle_of(const Bin& bin) const {
        return Timestamp{width_ * bin.index + width_ / 2};
    }
    [[nodiscard]] bool empty() const { return bins_.empty(); }
    /// The last bin that starts before `t`.
    [[nodiscard]] const Bin* last_before(Timestamp t) const;

private:
    Duration width_;
    std::vector<Bin> bins_;  ///< ascending
};

/// Median of the bins' middles, and how many readings they hold. Nothing when there are none.
struct Gathered {
    double value = 0;
    std::uint32_t count = 0;
};
[[nodiscard]] std::optional<Gathered> gather(std::span<const Bin> bins);

}  // namespace gyled::estimation
