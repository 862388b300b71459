#pragma once
/// One vessel under watch: routes readings, commands and the passing of time to what knows about them, and
/// collects the effects. A part of the Cellar; nobody else's. Thread: the core's. Owns its parts; commands
/// that cannot be carried out change nothing and say why in `Effects::problems`. `now` is the core's time and
/// never runs backwards; a reading's own time may lie before it, or a little after.

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/cellar/alarm_desk.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/given_off.hpp"
#include "daemon/cellar/present.hpp"
#include "daemon/cellar/running_batch.hpp"
#include "daemon/cellar/short_run.hpp"
#include "daemon/cellar/vessel_state.hpp"
#include "daemon/cellar/view.hpp"

namespace gyled::cellar {

using LearnedCurves = std::map<std::string, estimation::LearnedCurve>;  ///< by culture name

class Vessel {
public:
    /// Copies what it needs of the cellar's spec: its own sensors, rules, recipients.
    Vessel(batch::VesselSpec spec, const CellarSpec& cellar);

    [[nodiscard]] const batch::VesselSpec& spec() const { return spec_; }

    // ---- readings
    /// One of this vessel, whatever its quality. Pressures and the beer's temperature are judged at once;
    /// belief waits for the grid.
    void accept(const sensors::Reading& reading, Timestamp now, Effects& effects);
    /// One that will be accepted in its turn: a head pressure is judged now.
    void look_ahead(const sensors::Reading& reading, Timestamp now, Effects& effects);
    /// As the store keeps it: an absolute pressure becomes gauge against the air of now.
    [[nodiscard]] ReadingPoint point_of(const sensors::Reading& reading) const;
    /// One that was judged when it came, and got its time only now: for store and belief.
    void record(const sensors::Reading& reading, Effects& effects);
    /// The air outside; absolute readings become gauge against it.
    void note_barometer(Timestamp at, double kpa_absolute);
    void set_broker(bool connected) { present_.set_broker(connected); }
    /// Has one come whose quarter of an hour was believed already? It waits for the crowd it came with.
    [[nodiscard]] bool has_late_readings() const { return batch_ && batch_->has_late_readings(); }

    // ---- commands
    /// `learned`: what is known of each culture; becomes the batch's prior.
    void start(const StartBatch& command, const LearnedCurves& learned, Timestamp now, Effects& effects);
    void enter(const EnterStage& command, Timestamp now, Effects& effects);
    void undo(const UndoStep& command, Timestamp now, Effects& effects);
    /// `taught`: what is known of its culture once it has ended. True: it has.
    bool end(const EndBatch& command, std::optional<Taught> taught, Timestamp now, Effects& effects);
    void measure(const Measure& command, Timestamp now, Effects& effects);
    void undo(const UndoMeasurement& command, Effects& effects);
    void correct(const CorrectBatch& command, const LearnedCurves& learned, Timestamp now, Effects& effects);
    /// What its batches taught of it.
    void forget_learned(Timestamp now, Effects& effects);
    [[nodiscard]] AlarmDesk& alarms() { return alarms_; }

    // ---- time
    /// Once a minute: silence, delays, planned starts, stage ends.
    void tick(Timestamp now, Effects& effects);
    /// A pressure that came late and alone is news when no backlog has followed it for a while.
    void settle(Timestamp now, Effects& effects);
    /// On the grid: belief. Also when late readings have settled.
    void estimate(Timestamp now, Effects& effects);
    /// What is believed at this moment, unless the estimators are behind it.
    void tell_estimates(Timestamp now, Effects& effects) const;
    /// Is belief behind, because there was more to do than one go allows?
    [[nodiscard]] bool is_behind(Timestamp now) const { return batch_ && batch_->is_behind(now); }
    /// Time went by unseen until `now`: silence counts from here.
    void skip_to(Timestamp now);
    /// Nobody knows what time it is, until the clock is set: dangers are judged, and nothing of a batch.
    void doubt_time() { present_.set_time_is_known(false); }
    /// The clock was set: the same moment has another name.
    void set_clock(const base::ClockSet& set, Effects& effects);

    // ---- memory
    /// All that a restart needs beside the stored readings; `restore` takes it on a vessel that has seen
    /// nothing.
    [[nodiscard]] VesselState state(Timestamp now) const;
    void restore(const VesselState& state);
    /// Stored readings since this moment make belief and trends again; nothing older is of use.
    [[nodiscard]] Timestamp readings_needed_from(Timestamp now) const;
    /// A stored reading, in event-time order; silent.
    void recall(const ReadingPoint& reading);
    /// The stored readings of a batch that was registered late, or now begins earlier, are about to be
    /// recalled: belief starts anew.
    void begin_recall();
    /// All readings are there: belief up to `now`, silently. Some 0.5 ms for each quarter of an hour.
    void end_recall(Timestamp now);

    [[nodiscard]] VesselView view(Timestamp now) const;
    /// What is believed of its batch, to be lived on; nothing without one on its cold side, and while belief
    /// is behind.
    [[nodiscard]] std::optional<estimation::Foresight> foresight(Timestamp now) const;
    /// What its batch teaches, once that has finished.
    [[nodiscard]] std::optional<Teaching> teaching() const;
    [[nodiscard]] const std::optional<Taught>& taught() const { return taught_; }

private:
    void take_in(const ReadingPoint& reading, Timestamp news_of);
    void test_tightness(Timestamp at, double gauge_kpa);
    void believe(const ReadingPoint& reading);
    void take_pressure(const sensors::Reading& reading, double gauge_kpa);
    [[nodiscard]] bool has_batch(Effects& effects) const;
    [[nodiscard]] batch::Surroundings around() const { return {spec_, present_.ambient(), display_}; }
    void reopen(Effects& effects);
    void enter_index(std::size_t index, Timestamp at, const std::string& why);
    void enter_what_is_due(Timestamp now, Effects& effects);
    void run_stage_clock(Timestamp now, Effects& effects);
    void show_batch();
    void tell_end(Timestamp now, Effects& effects);
    bool remind(Timestamp now, Effects& effects);
    void record_changed(Effects& effects);
    void note_purge(Timestamp now, Effects& effects);
    void refresh_short_run();
    void evaluate(Timestamp now, Effects& effects);
    void note_dough_in(Effects& effects);
    void tell(Timestamp at, const base::Estimates& estimates, Effects& effects) const;
    void tell_facts(Timestamp now, Effects& effects);
    void believe_latest();
    void refresh_closing();
    [[nodiscard]] BatchView batch_view() const;

    batch::VesselSpec spec_;
    std::string site_;
    display::Display display_;
    std::size_t steps_at_once_;
    Present present_;
    ShortRun short_run_;
    AlarmDesk alarms_;
    std::optional<alarms::Latest> unproven_pressure_;
    estimation::trend::TightnessSums tightness_;
    CarbonDioxideHistory given_off_;
    std::optional<estimation::gas::LearnedUptake> uptake_;  ///< from batches that have ended
    std::optional<RunningBatch> batch_;
    std::optional<EndedBatch> ended_;
    std::optional<Taught> taught_;
    std::string last_batch_;  ///< id of the newest batch, running or ended
};

}  // namespace gyled::cellar
