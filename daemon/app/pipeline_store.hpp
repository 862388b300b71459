#pragma once
/// The database as the pipeline sees it.

#include "daemon/pipeline/store.hpp"
#include "daemon/storage/keeper.hpp"

namespace gyled::app {

/// Thread: the main loop's. Throws StorageError, which is a std::runtime_error. The database must outlive it.
class PipelineStore final : public pipeline::Store {
public:
    explicit PipelineStore(storage::Keeper& database) : database_{database} {}

    std::size_t write(const cellar::Commit& group) override;
    [[nodiscard]] pipeline::Memory memory() override;
    void for_each_reading(base::Timestamp from, base::Timestamp to, const TakeReading& take) override;

    /// How long the last successful write took.
    [[nodiscard]] double last_write_seconds() const { return last_write_seconds_; }

private:
    storage::Keeper& database_;
    double last_write_seconds_ = 0;
};

}  // namespace gyled::app
