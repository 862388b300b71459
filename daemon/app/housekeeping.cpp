#include "daemon/app/housekeeping.hpp"

#include <spdlog/spdlog.h>

#include "daemon/storage/error.hpp"

namespace gyled::app {
namespace {

bool is_due(std::optional<base::Timestamp> last, base::Duration every, base::Timestamp now) {
    return !last || now < *last || now - *last >= every;
}

}  // namespace

void Housekeeping::round(base::Timestamp now) try {
    checkpoint(now);
    prune(now);
} catch (const storage::StorageError& error) {
    spdlog::error("{}", error.what());
    last_checkpoint_ = last_prune_ = now;
}

void Housekeeping::checkpoint(base::Timestamp now) {
    if (!is_due(last_checkpoint_, parameters_.checkpoint_every, now)) return;
    store_.checkpoint();
    last_checkpoint_ = now;
    spdlog::debug("checkpoint done");
}

void Housekeeping::prune(base::Timestamp now) {
    if (!is_due(last_prune_, parameters_.prune_every, now)) return;
    const std::size_t gone = store_.prune(now - parameters_.keep_raw, storage::Store::rows_at_once);
    if (gone == 0) last_prune_ = now;
    spdlog::debug("pruned {} readings", gone);
}

void Housekeeping::finish() try { store_.checkpoint(); } catch (const storage::StorageError& error) {
    spdlog::error("{}", error.what());
}

}  // namespace gyled::app
