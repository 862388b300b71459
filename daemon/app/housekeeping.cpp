#include "daemon/app/housekeeping.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "daemon/storage/error.hpp"

namespace gyled::app {
namespace {

bool is_due(std::optional<base::Duration> last, base::Duration every, base::Duration steady) {
    return !last || steady - *last >= every;
}

}  // namespace

std::optional<base::Timestamp> PruneTime::before(base::Timestamp now, base::Duration steady) const {
    if (steady - quiet_since_ < parameters_.forbearance) return std::nullopt;
    const base::Timestamp newest = newest_at_start_ + (steady - began_);
    return std::min(now, newest) - parameters_.keep_raw;
}

void Housekeeping::round(base::Timestamp now, base::Duration steady) try {
    checkpoint(steady);
    prune(now, steady);
} catch (const storage::StorageError& error) {
    spdlog::error("{}", error.what());
    last_checkpoint_ = last_prune_ = steady;
}

void Housekeeping::checkpoint(base::Duration steady) {
    if (!is_due(last_checkpoint_, parameters_.checkpoint_every, steady)) return;
    store_.checkpoint();
    last_checkpoint_ = steady;
    spdlog::debug("checkpoint done");
}

void Housekeeping::prune(base::Timestamp now, base::Duration steady) {
    const auto before = prune_time_.before(now, steady);
    if (!before || !is_due(last_prune_, parameters_.prune_every, steady)) return;
    const std::size_t gone = store_.prune(*before, storage::Store::rows_at_once);
    if (gone == 0) last_prune_ = steady;
    spdlog::debug("pruned {} readings", gone);
}

void Housekeeping::finish() try { store_.checkpoint(); } catch (const storage::StorageError& error) {
    spdlog::error("{}", error.what());
}

}  // namespace gyled::app
