#pragma once
/// Keeps the store small and quick: old readings go, the write-ahead log is moved into the file.

#include "daemon/storage/store.hpp"

namespace gyled::app {

struct HousekeepingParameters {
    base::Duration checkpoint_every = std::chrono::minutes{10};  ///< a log of some MiB reads as fast as none
    base::Duration prune_every = std::chrono::hours{1};  ///< once nothing is left to go; in slices until then
    base::Duration keep_raw = std::chrono::hours{24 * 400};  ///< raw readings; their roll-ups stay
};

/// Thread: the main loop's. Never throws: what the store refuses is logged and tried again when due next.
class Housekeeping {
public:
    Housekeeping(storage::Writer& store, HousekeepingParameters parameters)
        : store_{store}, parameters_{parameters} {}

    void round(base::Timestamp now);
    void finish();  ///< the last checkpoint

private:
    void checkpoint(base::Timestamp now);
    void prune(base::Timestamp now);

    storage::Writer& store_;
    HousekeepingParameters parameters_;
    std::optional<base::Timestamp> last_checkpoint_, last_prune_;
};

}  // namespace gyled::app
