#pragma once
/// Readings of one quantity, gathered into minutes of event time. A plain value; single-threaded.
///
/// Arrival order leaves no trace: values are rounded to 2^-24, so that their sums are exact. Memory is
/// bounded: the newest 48 hours or more are kept by the minute, what is older only as the medians that are
/// ever asked for (6 bytes each), and that for some 400 days.

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/base/time.hpp"

namespace gyled::estimation {

using base::Duration;
using base::Timestamp;

/// What was read within a span: the median of its minutes, and how many readings they hold.
struct Gathered {
    double value = 0;
    std::uint32_t count = 0;
    friend bool operator==(const Gathered&, const Gathered&) = default;
};

/// Medians of equal spans side by side, without gaps; a span without readings has count 0.
class Medians {
public:
    explicit Medians(int minutes_each) : minutes_each_{minutes_each} {}

    [[nodiscard]] int minutes_each() const { return minutes_each_; }
    /// `index`: minutes since the epoch / minutes_each.
    [[nodiscard]] std::optional<Gathered> at(std::int64_t index) const;
    void set(std::int64_t index, Gathered gathered);
    /// A reading that came after its span was closed: averaged in.
    void add_late(std::int64_t index, double value);
    /// Forgets what lies before `index`.
    void forget_before(std::int64_t index);
    /// Forgets `index` and what lies after it.
    void forget_from(std::int64_t index);
    [[nodiscard]] std::int64_t first() const { return first_; }
    [[nodiscard]] std::int64_t end() const { return first_ + static_cast<std::int64_t>(values_.size()); }

private:
    void make_room(std::int64_t index);

    int minutes_each_;
    std::int64_t first_ = 0;
    std::vector<float> values_;  // 1e-7 of the value: far below every sensor
    std::vector<std::uint16_t> counts_;
};

class BinnedSeries {
public:
    /// What will be asked for: quarters of an hour, or these and their thirds.
    enum class Detail : std::uint8_t { quarters, five_minutes };
    explicit BinnedSeries(Detail detail) : quarters_{15} {
        if (detail == Detail::five_minutes) fives_.emplace(5);
    }

    /// False when the reading lies so far back that it is not kept. `value` is finite.
    bool add(Timestamp at, double value);
    /// The quarter of an hour, or the five minutes, that begin at `from` (on the clock's quarters or fives).
    /// The same whether the span is still kept by the minute or not. Nothing where there was no reading.
    [[nodiscard]] std::optional<Gathered> quarter(Timestamp from) const;
    [[nodiscard]] std::optional<Gathered> five_minutes(Timestamp from) const;
    [[nodiscard]] bool has_quarter(Timestamp from) const;
    /// The beginning of the first quarter of an hour, not before the one that holds `from`, with a reading;
    /// nothing when there is none.
    [[nodiscard]] std::optional<Timestamp> next_quarter(Timestamp from) const;
    /// Forgets what was read after the minute that holds `last`.
    void forget_after(Timestamp last);

private:
    /// What fell into one minute.
    struct Minute {
        std::int64_t index = 0;  // minutes since the epoch
        std::uint32_t count = 0;
        double sum = 0, min = 0, max = 0;
        /// The mean without the two extremes where there are three readings or more: one wild value does no
        /// harm.
        [[nodiscard]] double middle() const;
    };
    [[nodiscard]] std::optional<Gathered> gather(std::int64_t from, std::int64_t to) const;
    [[nodiscard]] bool is_closed(std::int64_t minute) const;
    void add_to_minute(std::int64_t minute, double value);
    void close_oldest(std::int64_t filling);
    void close_quarter(std::int64_t quarter);

    std::vector<Minute> minutes_;  // ascending
    Medians quarters_;
    std::optional<Medians> fives_;
};

}  // namespace gyled::estimation
