#pragma once
/// The web edge's questions about the past, answered from a read-only connection of its own.

#include <memory>
#include <string>

#include "daemon/storage/queries.hpp"
#include "daemon/web/history.hpp"

namespace gyled::app {

/// Thread: after construction the server's reading thread only. Opens the file when it is asked, and anew
/// when another one has taken its place. May throw storage::StorageError: the file must exist and be up to
/// date.
class Past final : public web::History {
public:
    explicit Past(std::string path) : path_{std::move(path)} {}

    [[nodiscard]] web::Trend trend(const std::string& vessel, base::Quantity quantity, web::Timestamp from,
                                   web::Timestamp to, std::size_t points) const override {
        return store().trend(vessel, quantity, from, to, points);
    }
    [[nodiscard]] cellar::StoredValues values(const std::string& vessel, web::Timestamp from,
                                              web::Timestamp to, std::size_t limit) const override {
        return store().values(vessel, from, to, limit);
    }
    [[nodiscard]] std::vector<batch::Record> batches(std::size_t limit) const override {
        return store().batches(limit);
    }
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         web::Timestamp before) const override {
        return store().alarms(limit, before);
    }
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         const web::AlarmPlace& after) const override {
        return store().alarms(limit, after);
    }

private:
    [[nodiscard]] const storage::Queries& store() const {
        if (store_ && store_->has_moved()) store_.reset();
        if (!store_) store_ = std::make_unique<storage::ReadStore>(path_);
        return *store_;
    }

    std::string path_;
    mutable std::unique_ptr<storage::ReadStore> store_;
};

}  // namespace gyled::app
