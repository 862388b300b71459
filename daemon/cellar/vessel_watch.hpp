#pragma once
/// One vessel under watch: its last readings, its running batch, its alarms. A part of the Cellar; nobody
/// else's.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/panel.hpp"
#include "daemon/cellar/cellar.hpp"
#include "daemon/estimation/batch_estimator.hpp"
#include "daemon/estimation/heating.hpp"
#include "daemon/estimation/pressure_trend.hpp"

namespace gyled::cellar {

class VesselWatch {
public:
    VesselWatch(batch::VesselSpec spec, std::vector<SensorWatch> sensors, const CellarSpec& cellar);

    void accept(const sensors::Reading& reading, Timestamp now, Effects& effects);
    /// The air outside, from elevation or a barometer: absolute readings become gauge against it.
    void note_barometer(Timestamp at, double kpa_absolute);
    void set_broker(bool connected) { situation_.broker_connected = connected; }

    void start(const StartBatch& command, std::optional<estimation::LearnedCurve> learned, Timestamp now,
               Effects& effects);
    void enter(const EnterStage& command, Timestamp now, Effects& effects);
    void end(const EndBatch& command, Timestamp now, Effects& effects);
    void measure(const batch::HandMeasurement& command, Effects& effects);
    [[nodiscard]] bool acknowledge(const Acknowledge& command, Effects& effects);
    [[nodiscard]] bool shelve(const Shelve& command, Effects& effects);

    /// Once a minute: silence, delays, planned starts, stage ends.
    void tick(Timestamp now, Effects& effects);
    /// On the grid: belief. Also when late readings have settled.
    void estimate(Timestamp now, Effects& effects);
    [[nodiscard]] bool has_late_readings() const;

    // rebuilding after a restart: silent
    void recall(const batch::Record& record, std::optional<estimation::LearnedCurve> learned);
    void recall(const std::vector<alarms::Occurrence>& standing) { panel_.restore(standing); }
    void recall(const ReadingPoint& reading);
    void recalled(Timestamp now);

    [[nodiscard]] const batch::VesselSpec& spec() const { return spec_; }
    [[nodiscard]] VesselView view(Timestamp now) const;
    /// What the running batch teaches, once it has finished: (culture name, curve).
    [[nodiscard]] std::optional<std::pair<std::string, estimation::LearnedCurve>> learned() const;

private:
    void note_latest(base::Quantity quantity, Timestamp at, double gauge_value);
    void observe(base::Quantity quantity, Timestamp at, double gauge_value);
    void open(const batch::Record& record, std::optional<estimation::LearnedCurve> learned);
    void stand_in_stage();
    void enter_index(std::size_t index, Timestamp at, const std::string& why);
    void enter_planned(Timestamp now, Effects& effects);
    void note_stage_end(Timestamp now, Effects& effects);
    void refresh_fast_estimates(Timestamp now);
    void judge(Timestamp now, Effects& effects);
    void take_facts(Timestamp now, Effects& effects);
    [[nodiscard]] bool end_reached(Timestamp now, std::string& why);

    batch::VesselSpec spec_;
    display::Display display_;
    Duration ring_at_most_late_;
    base::Pressure ambient_;
    alarms::AlarmPanel panel_;
    alarms::Situation situation_;
    estimation::PressureTrend pressure_;
    estimation::HeatingTrend heating_;
    std::optional<batch::Record> batch_;
    std::optional<estimation::BatchEstimator> estimator_;
    Timestamp estimates_at_{};
    Duration in_band_{};  ///< for time_in_band: so long has the beer been in the stage's band
    std::optional<Timestamp> in_band_seen_;
};

}  // namespace gyled::cellar
