#pragma once
/// The web edge's questions about the past, answered from a read-only connection of its own.

#include "daemon/storage/queries.hpp"
#include "daemon/web/history.hpp"

namespace gyled::app {

/// Thread: after construction the server's reading thread only. May throw storage::StorageError, also when it
/// opens: the file must exist and be up to date.
class Past final : public web::History {
public:
    explicit Past(const std::string& path) : store_{path} {}

    [[nodiscard]] web::Trend trend(const std::string& vessel, base::Quantity quantity, web::Timestamp from,
                                   web::Timestamp to, std::size_t points) const override {
        return store_.trend(vessel, quantity, from, to, points);
    }
    [[nodiscard]] std::vector<batch::Record> batches(std::size_t limit) const override {
        return store_.batches(limit);
    }
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         web::Timestamp before) const override {
        return store_.alarms(limit, before);
    }
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         const web::AlarmPlace& after) const override {
        return store_.alarms(limit, after);
    }

private:
    storage::ReadStore store_;
};

}  // namespace gyled::app
