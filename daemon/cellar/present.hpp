#pragma once
/// What is so in a vessel at this moment, in one copy: the newest readings with their freshness, the stage,
/// what is believed. Rules look at it, the view shows it, the stored memory is taken from it. Thread: the
/// core's. Values in canonical units; gas pressures kPa gauge. What is not known is missing.

#include <string>
#include <vector>

#include "daemon/alarms/situation.hpp"
#include "daemon/base/clock.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/batch/plate_check.hpp"
#include "daemon/cellar/spec.hpp"
#include "daemon/cellar/vessel_state.hpp"
#include "sensors/reading.hpp"

namespace gyled::cellar {

class Present {
public:
    /// `sensors`: those of this vessel. `elevation_m`: metres above the sea, for the air outside until a
    /// barometer speaks.
    Present(const batch::VesselSpec& vessel, std::vector<ExpectedSensor> sensors, double elevation_m);

    /// The reading's value as the core speaks of it: absolute head and supply pressures become gauge against
    /// the air outside, all else stays.
    [[nodiscard]] double gauge_value(const sensors::Reading& reading) const;
    /// An accepted reading: newest value, when its sensor last spoke, how often it does.
    void note(const std::string& sensor, base::Quantity quantity, base::Timestamp at, double gauge_value);
    /// A value that is doubted as a measurement but not as a danger.
    void note_doubted(base::Quantity quantity, base::Timestamp at, double gauge_value);
    /// The air outside, from a barometer; kPa absolute.
    void set_ambient(double kpa_absolute);
    void set_relief(std::optional<estimation::gas::ReliefHistory> relief) { situation_.relief = relief; }
    void set_broker(bool connected) { situation_.broker_connected = connected; }
    void set_time_is_known(bool known) { situation_.time_is_known = known; }

    /// What the batch stands in; facts as told. Nothing of a batch applies after `clear_batch`.
    /// `found`: of what is left of its plan against the plate, the stage under way first.
    void set_batch(const batch::Record& record, const batch::Findings& found);
    void clear_batch();
    /// What is believed at the grid point `at`; what is missing is believed no more.
    void set_estimates(base::Timestamp at, base::Estimates estimates);
    /// How the newest readings move.
    void set_movement(const alarms::Movement& movement) { situation_.movement = movement; }
    void set_co2_given_off(std::optional<double> litres) { situation_.co2_given_off_l = litres; }
    void set_tightness(std::optional<estimation::trend::Tightness> found) { situation_.tightness = found; }
    /// The air outside is known from a barometer.
    [[nodiscard]] bool has_barometer() const { return ambient_ != site_air_; }
    /// The core's time; sensors not watched yet are watched from now on.
    void set_time(base::Timestamp now);

    /// The clock was set: what was heard keeps its age.
    void set_clock(const base::ClockSet& set);

    /// The newest value, when it is fresh at the present time and was taken no earlier than `since`.
    [[nodiscard]] std::optional<double> fresh(base::Quantity quantity, base::Timestamp since = {}) const;

    [[nodiscard]] const alarms::Situation& situation() const { return situation_; }
    [[nodiscard]] base::Estimates& estimates() { return situation_.estimates; }
    void set_pressure_trend_known(bool known) { situation_.pressure_trend_known = known; }
    [[nodiscard]] base::Timestamp estimates_at() const { return estimates_at_; }
    [[nodiscard]] base::Pressure ambient() const { return ambient_; }

    /// Readings, sensors and the air outside, into their places of the state and back. Sensors that are
    /// configured no more are left out.
    void save(VesselState& state) const;
    void restore(const VesselState& state);

private:
    void note_latest(base::Quantity quantity, base::Timestamp at, double gauge_value);
    void refresh_silence(std::size_t index);
    void refresh_silence_of_pressure();
    [[nodiscard]] base::Duration stale_after(base::Quantity quantity) const;

    batch::VesselSpec vessel_;
    alarms::Situation situation_;
    base::Pressure site_air_, ambient_;
    std::vector<ExpectedSensor> expected_;  ///< in the order of situation_.sensors
    std::vector<base::Cadence> cadences_;   ///< likewise
    base::Timestamp estimates_at_{};
};

}  // namespace gyled::cellar
