#pragma once
/// The one deterministic core: (reading | command | time) in, effects out. No thread, no clock, no I/O. The
/// daemon, `gyle replay` and the tests drive this same object; a restart is a replay of what the store
/// remembers.

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "daemon/alarms/panel.hpp"
#include "daemon/alarms/tuning.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/cellar/command.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/view.hpp"
#include "daemon/display/display.hpp"
#include "daemon/estimation/gravity_curve.hpp"
#include "sensors/reading.hpp"

namespace gyled::cellar {

using base::Duration;
using base::Timestamp;

/// A sensor as the core needs it: who is to be heard, how often.
struct SensorWatch {
    std::string id, vessel;
    base::Quantity measures{};
    Duration silent_after{};
};

struct CellarSpec {
    double elevation_m = 0;
    display::Display display;
    std::vector<batch::VesselSpec> vessels;
    std::vector<SensorWatch> sensors;
    std::vector<alarms::RuleTuning> rules;
    Duration estimates_every = std::chrono::minutes{15};  ///< at least the estimators' grid
    Duration ring_at_most_late = std::chrono::hours{1};   ///< older facts are recorded but ring nobody
};

/// What the store remembers of a core that ended.
struct Memory {
    std::vector<batch::Record> running;
    std::vector<alarms::Occurrence> standing;
    std::map<std::string, estimation::LearnedCurve> learned;  ///< by culture name
};

/// Thread: one. Time never runs backwards: an earlier `advance_to` changes nothing.
class Cellar {
public:
    explicit Cellar(CellarSpec spec);
    ~Cellar();
    Cellar(Cellar&&) noexcept;
    Cellar& operator=(Cellar&&) noexcept;

    /// A judged reading with its own time. Its time may lie before the core's: it is late then, joins the
    /// estimates, and rings nobody.
    Effects accept(const sensors::Reading& reading);
    /// A command that cannot be carried out changes nothing and says why in `problems`.
    Effects accept(const Command& command);
    /// Time passes: silence, hold times, forecasts, stage ends.
    Effects advance_to(Timestamp now);

    /// Rebuilds from memory and stored readings (in event-time order; `feed` calls back once for each),
    /// silently, up to `now`. To be called on a new core before anything else.
    using Feed = std::function<void(const std::function<void(const ReadingPoint&)>&)>;
    void rebuild(const Memory& memory, const Feed& feed, Timestamp now);

    /// What earlier batches of this culture taught; for batches started from now on.
    void teach(const std::string& culture_name, estimation::LearnedCurve curve);

    [[nodiscard]] Timestamp now() const;
    [[nodiscard]] std::vector<VesselView> vessels() const;
    [[nodiscard]] std::optional<VesselView> vessel(const std::string& id) const;
    /// Learned curves changed since the last call: to be stored by culture name.
    [[nodiscard]] std::map<std::string, estimation::LearnedCurve> take_learned();

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::cellar
