#pragma once
/// What the web edge asks of the rest of the house; the app answers. Thread: the main loop's, like everything
/// in web/.

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/display/display.hpp"
#include "daemon/base/result.hpp"
#include "daemon/cellar/command.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/view.hpp"
#include "sensors/intake.hpp"

namespace gyled::web {

using base::Timestamp;

/// Down-sampled history: bucket starts, mean, min and max (measured) or value, low and high (estimated).
struct Trend {
    std::vector<Timestamp> at;
    std::vector<double> value, low, high;
};

struct Health {
    bool ok = false;
    bool broker_connected = false;
    bool store_ok = false;
    std::string problem;  ///< in words when not ok
    std::optional<Timestamp> last_reading, last_commit;
};

/// Counters and gauges for /metrics, beyond those made from views and sensor health.
struct WatchFigures {
    std::uint64_t readings_stored = 0, messages_received = 0, notices_delivered = 0, notices_failed = 0;
    std::size_t queue_depth = 0, outbox_pending = 0;
    double last_commit_seconds = 0;
    Timestamp started;
};

/// A problem to answer with (RFC 9457): status 400, 404, 409 ...
struct Problem {
    int status = 400;
    std::string title;
    std::string detail;
};

class Backend {
public:
    virtual ~Backend() = default;
    [[nodiscard]] virtual Timestamp now() const = 0;
    [[nodiscard]] virtual display::Display display() const = 0;
    [[nodiscard]] virtual std::string site_name() const = 0;
    [[nodiscard]] virtual std::vector<cellar::VesselView> vessels() const = 0;
    [[nodiscard]] virtual std::vector<sensors::SensorHealth> sensors() const = 0;
    [[nodiscard]] virtual std::map<std::string, std::uint64_t> rejected() const = 0;
    /// At most `points` buckets between the two times; empty where there is no data.
    [[nodiscard]] virtual Trend trend(const std::string& vessel, base::Quantity quantity, Timestamp from,
                                      Timestamp to, std::size_t points) const = 0;
    [[nodiscard]] virtual std::vector<batch::Record> batches(std::size_t limit) const = 0;
    /// Newest first: the last transition of each occurrence.
    [[nodiscard]] virtual std::vector<alarms::Transition> alarms(std::size_t limit,
                                                                 std::optional<Timestamp> before) const = 0;
    [[nodiscard]] virtual Health health() const = 0;
    [[nodiscard]] virtual WatchFigures figures() const = 0;
    /// Carries out a command; a refusal comes back as a problem.
    virtual base::Result<bool, Problem> command(const cellar::Command& command) = 0;
    /// Reads a batch file's text into a plan (the config edge does it; web cannot know it).
    virtual base::Result<batch::Plan, Problem> batch_plan(const std::string& toml) = 0;
};

}  // namespace gyled::web
