#pragma once
/// From bytes on a topic to judged readings: which sensors claim the topic, and what each makes of it. What
/// could not be used is counted, by reason.

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "daemon/base/clock.hpp"
#include "sensors/health/health.hpp"
#include "sensors/reject.hpp"
#include "sensors/spec.hpp"
#include "sensors/state.hpp"

namespace gyled::sensors {

/// A message is read by each sensor that claims its topic, and each gives at least one outcome: a reading or
/// a reject (SenML may give several); at once, unless a backlog is waited for. Memory is bounded: 10,000
/// topics and some 2,000 to 4,000 past readings per sensor are remembered. Thread: one (the main loop). Owns
/// its specs. Never throws on input; throws std::invalid_argument from the constructor for a spec that cannot
/// work (bad filter, bad pointer, unknown unit), naming the sensor.
class Intake {
public:
    explicit Intake(std::vector<SensorSpec> sensors);
    ~Intake();
    Intake(Intake&&) noexcept;
    Intake& operator=(Intake&&) noexcept;

    /// `return_to_mark` makes all be as it was at the latest `mark`.
    void mark();
    void return_to_mark();

    /// Our clock was set: what is remembered of moments that are yet to come is forgotten or corrected.
    void set_clock(const base::ClockSet& set);

    /// One that knows all that this one knows.
    [[nodiscard]] Intake copy() const;
    /// With the same sensors, which know of their clocks and of the times that these gave what these know,
    /// but of no reading: it takes those that this one has taken before as news.
    [[nodiscard]] Intake twin() const;
    /// From now on readings without a time of their own that come after an absence wait, for some seconds,
    /// for the rest of the backlog that they may belong to: then `settle` has them. `heard_until`: when an
    /// earlier run ended, if there was one.
    void hold_backlogs(std::optional<Timestamp> heard_until);

    [[nodiscard]] Intaken accept(const Message& message);
    /// What has waited long enough, dated: call it every second or so, and with `at_once` at the end.
    [[nodiscard]] Intaken settle(Timestamp now, bool at_once = false);
    /// Does anything wait? Then its messages must not be forgotten.
    [[nodiscard]] bool holds_a_backlog() const;
    [[nodiscard]] std::vector<std::string> topic_filters() const;  ///< distinct, sensors and availability
    [[nodiscard]] std::vector<SensorHealth> health() const;        ///< in the order of the configuration
    /// Totals by reason, unclaimed topics too.
    [[nodiscard]] std::map<std::string, std::uint64_t> rejected() const;
    [[nodiscard]] std::uint64_t accepted() const;  ///< readings, all sensors

    /// Everything to write beside the accepted readings, in one commit with them: one entry a sensor, and one
    /// without a sensor for the topics that nobody claims. Some hundred bytes each.
    [[nodiscard]] std::vector<SensorState> state() const;
    /// Takes up where `states` ended, before the first message. Returns the ids of those that were not taken
    /// up: of a sensor no longer configured, of another quantity or of another version; such a sensor begins
    /// anew.
    ///
    /// A restart is then no restart: each later verdict, count and health equals that of an intake that was
    /// never cut, provided that `remember` is told each sensor's latest `Track::kept` (2048) accepted
    /// readings. Told fewer, or none, it may differ only for readings that come late: taken before the latest
    /// one.
    [[nodiscard]] std::vector<std::string> restore(const std::vector<SensorState>& states);
    /// An accepted reading that the store knows, `value` as it was accepted (canonical unit, a pressure as
    /// gauge or absolute as its sensor is). In any order; a sensor that is not configured is passed over.
    void remember(const std::string& sensor, Timestamp at, double value);

private:
    struct Memory;
    std::unique_ptr<Memory> memory_;
};

}  // namespace gyled::sensors
