#pragma once
/// Bad messages in the log: the first of a kind with its detail, then, once a minute, how many more there
/// were. A chattering sensor, or a stranger who publishes nonsense on a thousand topics, must not flood the
/// disk.

#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "daemon/base/time.hpp"
#include "sensors/reject.hpp"

namespace gyled::app {

struct RejectLogParameters {
    base::Duration summary_every = std::chrono::minutes{1};
    std::size_t kinds_max =
        500;  ///< sensors times reasons, of a large cellar; what comes beyond counts as one kind
    std::size_t kinds_shown = 10;  ///< in a summary, the most frequent first
};

/// A kind is a sensor and a reason; all topics that no sensor claims are one. Thread: one.
class RejectLog {
public:
    explicit RejectLog(RejectLogParameters parameters = {}) : parameters_{parameters} {}

    /// The line to write, or nothing: it is only counted.
    [[nodiscard]] std::optional<std::string> note(const sensors::Reject& reject);
    /// The line for what was only counted, when there was any and the time has come.
    [[nodiscard]] std::optional<std::string> summary(base::Timestamp now);

private:
    RejectLogParameters parameters_;
    std::map<std::string, std::uint64_t> counted_;  ///< by kind, since the last summary; known kinds stay
    std::optional<base::Timestamp> summed_at_;
};

}  // namespace gyled::app
