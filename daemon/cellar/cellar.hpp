#pragma once
/// The one deterministic core: (reading | command | time) in, effects out. No thread, no clock, no I/O. The
/// daemon, `gyle replay` and the tests drive this same object; a restart is a replay of what the store
/// remembers.

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "daemon/base/clock.hpp"
#include "daemon/cellar/command.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/spec.hpp"
#include "daemon/cellar/vessel_state.hpp"
#include "daemon/cellar/view.hpp"
#include "daemon/estimation/foresight.hpp"
#include "sensors/reading.hpp"

namespace gyled::cellar {

/// What the store remembers of a core that ended.
struct Memory {
    std::vector<VesselState> states;  ///< as `Cellar::states` gave them with the last commit
    std::map<std::string, estimation::LearnedCurve> learned;  ///< by culture name
};

/// Thread: one; whoever calls owns the object. Nothing throws but std::bad_alloc. Time never runs backwards:
/// an earlier `advance_to` changes nothing.
class Cellar {
public:
    explicit Cellar(CellarSpec spec);
    ~Cellar();
    Cellar(Cellar&&) noexcept;
    Cellar& operator=(Cellar&&) noexcept;

    /// A core of the same cellar that has seen nothing.
    [[nodiscard]] Cellar anew() const;

    /// A judged reading with its own time. Its time may lie before the core's: it is late then, joins the
    /// estimates, and old news is annunciated to nobody.
    Effects accept(const sensors::Reading& reading);
    /// A reading that will be given to `accept` in its turn, behind others that are older: a dangerous
    /// pressure is told now. It is no measurement yet.
    Effects look_ahead(const sensors::Reading& reading);
    /// What `accept` gives the store of a reading, and nothing else: it has been judged before.
    [[nodiscard]] std::optional<ReadingPoint> point_of(const sensors::Reading& reading) const;
    /// A command that cannot be carried out changes nothing and says why in `problems`.
    Effects accept(const Command& command);
    /// Time passes, minute by minute: silence, hold times, forecasts, stage ends. Of a gap of years only the
    /// first month is lived through so: whatever can follow from silence has followed by then.
    Effects advance_to(Timestamp now);

    /// Is some belief behind, because there was more to do than one go allows? Then `catch_up` does a further
    /// slice.
    [[nodiscard]] bool is_behind() const;
    Effects catch_up();

    // ---- restart: on a new core, `restore`, then `recall` every stored reading since `readings_needed_from`
    // in event-time order, then `end_recall`; and `skip_to` the present when time has passed since. All
    // silent.

    /// Takes up the memory; the core's time becomes that of the memory. Vessels that the configuration no
    /// longer has are passed over.
    void restore(const Memory& memory);
    [[nodiscard]] Timestamp readings_needed_from() const;
    void recall(const ReadingPoint& reading);
    void end_recall();
    /// Time went by while nobody listened, however long: nothing of it is evaluated, silence counts from
    /// here.
    void skip_to(Timestamp now);
    /// Nobody knows what time it is, until `set_clock`: time goes on as it would, dangers are judged, and
    /// nothing of a batch; no reading is believed.
    void doubt_time();
    /// A reading that was judged when it came, and got its time only now that the clock was set: for store
    /// and belief, it is no news.
    Effects record(const sensors::Reading& reading);
    /// The clock was set, forwards or back: what was `set.from` is `set.to` from here on, and no time went
    /// by. Delays, silences and stage clocks go on where they stood; what a batch has on record is corrected
    /// where it was false or would be yet to come; belief of moments yet to come is forgotten. Precondition:
    /// the core's time is `set.from`.
    Effects set_clock(const base::ClockSet& set);

    // ---- when Effects::recalls asks for it: begin, the vessel's stored readings since then, end.
    void begin_recall(const std::string& vessel);
    void recall(const std::string& vessel, const ReadingPoint& reading);
    Effects end_recall(const std::string& vessel);

    /// The whole memory at this moment: the watch's own (vessel ""), then each vessel's. To be stored with
    /// what the effects so far asked to store, in one transaction.
    [[nodiscard]] std::vector<VesselState> states() const;
    /// What ended batches of each culture taught: to be stored, too. One that has finished and still stands
    /// teaches those that begin meanwhile, and is in here once it has ended.
    [[nodiscard]] const std::map<std::string, estimation::LearnedCurve>& learned() const;

    [[nodiscard]] Timestamp now() const;
    [[nodiscard]] std::vector<VesselView> vessels() const;
    /// Alarms of the watch itself that stand, most urgent first.
    [[nodiscard]] std::vector<alarms::Occurrence> watch_alarms() const;
    [[nodiscard]] bool has_vessel(const std::string& id) const;
    [[nodiscard]] std::optional<VesselView> vessel(const std::string& id) const;
    /// A copy of what is believed of its batch, to be lived on under a hypothesis, on any thread; nothing
    /// where nobody could know.
    [[nodiscard]] std::optional<estimation::Foresight> foresight(const std::string& id) const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::cellar
