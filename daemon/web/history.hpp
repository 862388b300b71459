#pragma once
/// What the web edge asks of the past; the app answers from a read-only connection of its own.

#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/base/quantity.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/cellar/history.hpp"

namespace gyled::web {

using base::Timestamp;
using cellar::AlarmPlace;
using cellar::Trend;

/// Thread: the server's reading thread, one question at a time; never the loop, which must not wait for a
/// disk. Sees what is committed. May throw: the asker is told that the answer could not be made.
class History {
public:
    virtual ~History() = default;
    /// At most `points` buckets between the two times; empty where there is no data.
    [[nodiscard]] virtual Trend trend(const std::string& vessel, base::Quantity quantity, Timestamp from,
                                      Timestamp to, std::size_t points) const = 0;
    /// What is stored of one vessel with from <= at < to: a page of all.
    [[nodiscard]] virtual cellar::StoredValues values(const std::string& vessel, Timestamp from, Timestamp to,
                                                      std::size_t limit) const = 0;
    /// Newest first.
    [[nodiscard]] virtual std::vector<batch::Record> batches(std::size_t limit) const = 0;
    /// The last transition of each occurrence, newest first, those of one moment by id: earlier than
    /// `before`, or going on behind a place.
    [[nodiscard]] virtual std::vector<alarms::Transition> alarms(std::size_t limit,
                                                                 Timestamp before) const = 0;
    [[nodiscard]] virtual std::vector<alarms::Transition> alarms(std::size_t limit,
                                                                 const AlarmPlace& after) const = 0;
};

}  // namespace gyled::web
