#pragma once
/// Gathers effects and commits them in groups; only what is committed may be forgotten by the spool.

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/cellar/effects.hpp"
#include "daemon/config/config.hpp"
#include "daemon/storage/store.hpp"

namespace gyled::app {

/// Thread: the main loop's.
class Ledger {
public:
    Ledger(storage::Store& store, const config::Config& config);

    void add(cellar::Effects&& effects);
    /// Is there anything that must not wait (an alarm, a command), or has the group waited or grown enough?
    [[nodiscard]] bool is_due(base::Timestamp now) const;
    [[nodiscard]] bool empty() const { return group_.empty(); }
    /// Writes the group. False when the store failed: the group is kept, and given again next time; when it
    /// grows beyond bounds the oldest estimates, then readings, go first and are counted.
    bool commit(base::Timestamp now);
    /// The notices of a group that could not be committed: they will not be in the outbox, somebody else must
    /// carry them.
    [[nodiscard]] std::vector<annunciation::Notice> take_notices() {
        return std::exchange(group_.notices, {});
    }

    [[nodiscard]] bool store_ok() const { return problem_.empty(); }
    [[nodiscard]] const std::string& problem() const { return problem_; }
    [[nodiscard]] std::uint64_t stored() const { return stored_; }
    [[nodiscard]] std::uint64_t dropped() const { return dropped_; }
    [[nodiscard]] std::optional<base::Timestamp> last_commit() const { return last_commit_; }
    [[nodiscard]] double last_commit_seconds() const { return last_commit_seconds_; }

private:
    storage::Store& store_;
    std::vector<std::pair<std::string, alarms::Priority>> messengers_;
    base::Duration commit_every_;
    cellar::Effects group_;
    bool urgent_ = false;
    std::string problem_;
    std::uint64_t stored_ = 0, dropped_ = 0;
    std::optional<base::Timestamp> last_commit_, last_attempt_;
    double last_commit_seconds_ = 0;
};

}  // namespace gyled::app
