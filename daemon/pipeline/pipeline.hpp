#pragma once
/// Source -> intake -> core -> ledger -> release: the way of every message. The one promise kept here: only
/// what is committed may be forgotten by the source.

#include <map>
#include <string>
#include <vector>

#include "daemon/base/result.hpp"
#include "daemon/cellar/cellar.hpp"
#include "daemon/mqtt/source.hpp"
#include "daemon/pipeline/ledger.hpp"
#include "daemon/pipeline/listener.hpp"
#include "daemon/pipeline/store.hpp"
#include "sensors/intake.hpp"

namespace gyled::pipeline {

/// What moves the core's time.
enum class Drive : std::uint8_t {
    clock,   ///< the caller's `now`: a daemon
    events,  ///< the readings' own times: a replay, as fast as it goes
};

struct Parameters {
    Drive drive = Drive::clock;
    std::size_t messages_at_once =
        2'000;  ///< then the caller gets its turn: timers and pages are not kept waiting
    Duration sensor_memory = std::chrono::hours{48};  ///< readings that tell the intake where a sensor stood
    /// Stored readings count up to so far beyond the time of the last commit: sensors' clocks may run ahead
    /// (sensors::clock_tolerance). What lies beyond came from a clock of our own that once was wrong.
    Duration clock_slack = std::chrono::minutes{2};
    /// Of messages that came while nobody knew the time; the rest waits with the source.
    std::size_t untimed_bytes_most = 8 * 1024 * 1024;
    LedgerParameters ledger;
};

/// What became of a command.
struct Answer {
    std::vector<std::string> understood;  ///< in words
    std::vector<std::string> problems;    ///< why it was refused, in words; empty: it was carried out
    batch::Findings findings;  ///< of its plan: for which it was refused, or which were consented to
};

/// Driven by explicit calls, with time as an argument: no timer, no clock, no thread inside. Thread: one.
/// What is passed by reference must outlive it.
class Pipeline {
public:
    Pipeline(cellar::Cellar core, sensors::Intake intake, mqtt::Source& source, Store& store,
             Listener& listener, Parameters parameters = {});

    /// Takes up where the last run ended, silently. Call it once, before anything else. When the store cannot
    /// be read the watch begins without, which the ledger's `problem` tells; nothing is written then, and it
    /// is taken up later, when it can be.
    void resume(Timestamp now);
    /// The same with a clock that nobody has set: goes on where the last run ended, as if no time had passed.
    /// Until `set_clock`, nothing is committed and nothing released; notices go past the outbox.
    void resume_without_time();
    /// The clock was set, and what was `set.from` is `set.to` from here on: for core, intake and what waits
    /// for its commit.
    void set_clock(const base::ClockSet& set);
    /// The store is another one than before: all that is remembered is written to it anew.
    void store_renewed(Timestamp now);

    /// Takes at most `messages_at_once` messages and commits when that is due. True when there is more to do
    /// at once: let others have their turn, then call again.
    [[nodiscard]] bool drain(Timestamp now);
    /// Time passes: silence, delays, forecasts; and what waited for its commit.
    void advance(Timestamp now);
    /// Tells the core what of the watch itself does not work, all of it; its alarms are its affair.
    void note(const base::Impairments& impairments, Timestamp now);
    /// Carries a command out and commits what came of it.
    Answer carry_out(const cellar::Command& command, Timestamp now);
    /// History that a person brings: for store and belief, judged and annunciated by nobody. What is stored
    /// already, by sensor and time, stays as it is. Returns how many were new; the error says in words why
    /// nothing could be stored. `is_last`: belief of a batch that this concerns begins anew from the store.
    [[nodiscard]] base::Result<std::size_t, std::string> take_history(
        const std::vector<sensors::Reading>& readings, bool is_last, Timestamp now);
    /// Ends the source, takes everything it still holds, and commits. What cannot be committed stays with the
    /// source for the next run.
    void stop(Timestamp now);

    [[nodiscard]] const cellar::Cellar& core() const { return core_; }
    [[nodiscard]] const sensors::Intake& intake() const { return intake_; }
    [[nodiscard]] const Ledger& ledger() const { return ledger_; }

private:
    [[nodiscard]] bool take_messages(Timestamp now);
    void look_ahead(Timestamp now, bool more);
    [[nodiscard]] bool may_take_again() const;
    void begin_second_taking();
    void take_a_second_time();
    void take_up(Timestamp now);
    void take_up_late(Timestamp now);
    void hold_backlogs(Timestamp ended);
    void keep_untimed(sensors::Message&& message);
    void take_again(const base::ClockSet& set);
    void hand_over_unstored_notices();
    void take_connection_events();
    [[nodiscard]] bool is_of_another_time(const sensors::Message& message, Timestamp now) const;
    void pass_time(Timestamp now);
    void take(const sensors::Intaken& intaken);
    void take(const sensors::Reading& reading);
    void take_backlogs(Timestamp now, bool at_once = false);
    void take(cellar::Effects&& effects);
    void rename(const base::ClockSet& set);
    void settle(Timestamp now);
    void commit(Timestamp now);
    void release();
    void answer_recalls(Timestamp now);
    void answer(const cellar::Recall& recall, Timestamp now);
    void remember(const cellar::ReadingPoint& reading, Timestamp now);
    void recall_what_was_imported();

    Parameters parameters_;
    cellar::Cellar core_;
    sensors::Intake intake_;
    mqtt::Source& source_;
    Store& store_;
    Listener& listener_;
    Ledger ledger_;
    std::vector<cellar::Recall> recalls_;        ///< asked for by the core, not yet answered
    std::map<std::string, Timestamp> imported_;  ///< by vessel, since when history was brought
    bool without_time_ = false;
    std::vector<sensors::Message> untimed_;  ///< what came without_time_: dated once that is known
    std::size_t untimed_bytes_ = 0;
    bool memory_is_missing_ = false;  ///< what the last run left could not be read yet
    std::optional<Timestamp> memory_asked_at_;
    std::optional<std::uint64_t> unreleased_;  ///< the newest group of messages that the source may forget
    std::uint64_t newest_group_ = 0;
    /// What was judged when there was no room to keep it is taken once more from the source, for the store
    /// alone.
    struct SecondTaking {
        sensors::Intake intake;
        std::uint64_t turned_away;  ///< so many were when it began
    };
    std::optional<SecondTaking> second_taking_;
    std::optional<sensors::Intake> scout_;  ///< while what an earlier run left stands before what arrives
    std::optional<base::ClockSet> false_until_;  ///< under which name a part of it may have arrived
    std::optional<std::uint64_t> held_;          ///< the newest group of which a message waits in the intake
};

}  // namespace gyled::pipeline
