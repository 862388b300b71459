#pragma once
/// The whole memory of one vessel, as plain values: what the store keeps with each commit and a restart takes
/// up. Everything else the core holds (estimates, trends) follows from this and the stored readings.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/panel_state.hpp"
#include "daemon/alarms/situation.hpp"
#include "daemon/annunciation/annunciator.hpp"
#include "daemon/base/freshness.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/batch/stage_clock.hpp"
#include "daemon/cellar/given_off.hpp"
#include "daemon/estimation/gas/purge.hpp"
#include "daemon/estimation/gas/relief.hpp"
#include "daemon/estimation/gas/uptake.hpp"
#include "daemon/estimation/trend/learned_heat.hpp"
#include "daemon/estimation/trend/tightness.hpp"

namespace gyled::cellar {

/// What the core knows of one sensor's speaking.
struct SensorMemory {
    std::string sensor;
    std::optional<base::Timestamp> last_at;  ///< event time of its newest accepted reading
    base::Timestamp watched_since;           ///< since when it could have spoken
    base::Cadence cadence;                   ///< how often it speaks, as learnt
    friend bool operator==(const SensorMemory&, const SensorMemory&) = default;
};

/// What the shape of the head pressure has told: of the relief valve, and of a purge under way.
struct PressureMemory {
    estimation::gas::ReliefWatch::Memory relief;
    estimation::gas::PurgeWatch::Memory purge;
    friend bool operator==(const PressureMemory&, const PressureMemory&) = default;
};

/// What the end of a batch taught: the curve of its culture from then on, and what was known before. Should
/// it end once more, that is what it is joined with, so that it teaches once.
struct Taught {
    estimation::LearnedCurve curve;
    std::optional<estimation::LearnedCurve> before;
    friend bool operator==(const Taught&, const Taught&) = default;
};

/// A batch that has ended, as long as its end can be undone: until another begins in the vessel.
struct EndedBatch {
    batch::Record record;
    batch::StageClock clock;
};

struct VesselState {
    static constexpr int current_version = 1;
    int version = current_version;
    std::string vessel;  ///< id; empty: the watch itself, which has alarms and annunciations only
    base::Timestamp at;  ///< the core's time when this was taken
    std::optional<batch::Record> batch;  ///< the running one; the store keeps it in its own table
    batch::StageClock stage_clock;
    std::optional<EndedBatch> ended;  ///< the newest, when none runs
    std::optional<Taught> taught;     ///< by an end of the newest batch, whether that was undone or not
    std::string last_batch;           ///< id of the newest batch, running or ended: the next one gets another
    alarms::PanelState alarms;
    annunciation::Log annunciations;
    std::vector<SensorMemory> sensors;
    std::map<base::Quantity, alarms::Latest>
        latest;                     ///< newest accepted value of each measured quantity, pressures gauge
    bool broker_connected = true;   ///< the watch's own: as the broker was last heard of
    base::Impairments impairments;  ///< the watch's own: what of it did not work
    /// A head pressure (gauge) that came late and alone, by its arrival: news unless a backlog follows.
    std::optional<alarms::Latest> unproven_pressure;
    PressureMemory pressure;
    estimation::trend::TightnessSums tightness;            ///< of the newest tightness test
    estimation::trend::LearnedHeat heat;                   ///< learnt of this vessel, over its batches
    std::optional<estimation::gas::LearnedUptake> uptake;  ///< likewise: what ended batches taught of it
    CarbonDioxideHistory co2_held;                         ///< of the last twelve hours
    std::optional<double> ambient_kpa;  ///< absolute, from a barometer; nothing: from the elevation
};

}  // namespace gyled::cellar
