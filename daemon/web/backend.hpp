#pragma once
/// What the web edge asks of the rest of the house as it is now; the app answers, from memory, at once. What
/// was is history.hpp's. Thread: the main loop's.

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/impairment.hpp"
#include "daemon/base/result.hpp"
#include "daemon/batch/plate_check.hpp"
#include "daemon/cellar/command.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/view.hpp"
#include "daemon/display/display.hpp"
#include "daemon/estimation/foresight.hpp"
#include "sensors/health/health.hpp"
#include "sensors/intake.hpp"

namespace gyled::web {

using base::Timestamp;

struct Health {
    bool ok = false;
    bool broker_connected = false;
    bool store_ok = false;
    std::string problem;            ///< in words when not ok
    base::Impairments impairments;  ///< everything that does not work, the broker and the store included
    std::optional<Timestamp> last_reading, last_commit;
};

/// Counters and gauges for /metrics, beyond those made from views and sensor health.
struct WatchFigures {
    std::uint64_t readings_stored = 0, messages_received = 0, notices_delivered = 0, notices_failed = 0;
    std::size_t queue_depth = 0, outbox_pending = 0;
    std::uint64_t readings_unstored = 0;  ///< judged, and waiting in the spool for the store to work again
    double last_commit_seconds = 0;
    Timestamp started;
    /// What went past the watch since the start.
    struct Losses {
        std::uint64_t messages_oversized = 0, messages_unclaimed = 0;  ///< refused before the spool
        std::uint64_t readings_unkept = 0;   ///< judged, when store, memory and spool had no room for them
        std::uint64_t broker_sessions = 0;   ///< connects at which the broker had forgotten us
        std::uint64_t publications = 0;      ///< of ours, while the broker was away or too slow
        std::uint64_t spool_failures = 0;    ///< messages that could not be written to the spool
        std::uint64_t spool_torn_bytes = 0;  ///< left by an earlier run, no whole record
    } lost{};
};

/// A problem to answer with (RFC 9457): status 400, 404, 409 ...
struct Problem {
    int status = 400;
    std::string title;
    std::string detail;
    batch::Findings findings{};  ///< of the plan, when it was refused for them
};

/// What was understood of a command, in words; may be empty.
using Understood = std::vector<std::string>;

class Backend {
public:
    virtual ~Backend() = default;
    [[nodiscard]] virtual Timestamp now() const = 0;
    [[nodiscard]] virtual display::Display display() const = 0;
    [[nodiscard]] virtual std::string site_name() const = 0;
    [[nodiscard]] virtual std::vector<cellar::VesselView> vessels() const = 0;
    /// Nothing when no vessel has this id.
    [[nodiscard]] virtual std::optional<cellar::VesselView> vessel(const std::string& id) const = 0;
    /// What ended batches taught of each culture, by its name.
    [[nodiscard]] virtual std::map<std::string, estimation::LearnedCurve> learned() const = 0;
    /// Alarms of the watch itself that stand.
    [[nodiscard]] virtual std::vector<cellar::StandingAlarm> watch_alarms() const = 0;
    /// A copy of what is believed of its batch, for the reading thread; nothing where nobody could know.
    [[nodiscard]] virtual std::optional<estimation::Foresight> foresight(const std::string& id) const = 0;
    [[nodiscard]] virtual std::vector<sensors::SensorHealth> sensors() const = 0;
    [[nodiscard]] virtual std::map<std::string, std::uint64_t> rejected() const = 0;
    [[nodiscard]] virtual Health health() const = 0;
    [[nodiscard]] virtual WatchFigures figures() const = 0;
    /// Carries out a command and answers with what was understood; a refusal comes back as a problem.
    virtual base::Result<Understood, Problem> command(const cellar::Command& command) = 0;
    /// Stores history, which is news to nobody; how many readings were new. `is_last`: belief follows now.
    virtual base::Result<std::size_t, Problem> take_history(const std::vector<sensors::Reading>& readings,
                                                            bool is_last) = 0;
    /// Reads a batch file's text into a plan (the config edge does it; web cannot know it).
    virtual base::Result<batch::Plan, Problem> batch_plan(const std::string& toml) = 0;
};

}  // namespace gyled::web
