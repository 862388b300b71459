#pragma once
/// Alarms and their annunciation, joined: what is true becomes transitions, who hears of it notices. One for
/// each vessel, and one for the watch itself. Thread: the core's. Owns both halves; what it is given it
/// copies. The two are told apart on purpose: an alarm is what is so, and stands whether anybody hears of it
/// or not.

#include <string>
#include <vector>

#include "daemon/alarms/panel.hpp"
#include "daemon/annunciation/annunciator.hpp"
#include "daemon/base/clock.hpp"
#include "daemon/cellar/command.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/spec.hpp"
#include "daemon/cellar/vessel_state.hpp"

namespace gyled::cellar {

class AlarmDesk {
public:
    /// `vessel` empty: the watch itself, which has rules and recipients like a vessel and no readings. Rules
    /// are those built in, tuned by the spec's `rules`.
    AlarmDesk(const std::string& vessel, const CellarSpec& spec);

    /// Lets every rule judge the situation. Cheap enough for each reading; delays run with the situation's
    /// time, so it must be called as time passes, too. Transitions and notices are appended.
    void evaluate(const alarms::Situation& situation, Effects& effects);
    /// Is there such an alarm, raised or waiting for its return to be believed?
    [[nodiscard]] bool stands(const std::string& alarm) const;
    /// The alarm stands here and could be acknowledged or shelved; else why not, in words.
    [[nodiscard]] base::Result<bool, std::string> acknowledge(const Acknowledge& command, Effects& effects);
    [[nodiscard]] base::Result<bool, std::string> shelve(const Shelve& command, Effects& effects);
    /// Something that is told but is no alarm: addressed like an information.
    void tell(annunciation::Notice notice, Effects& effects);
    /// Nobody could hear anything before `now`: silence counts from here.
    void listen_from(Timestamp now);
    /// When the stage began, before and after the clock was set.
    struct StageSince {
        std::optional<Timestamp> before, after;
    };
    /// The clock was set: delays and silences go on, what is on record is corrected.
    void set_clock(const base::ClockSet& set, const StageSince& stage);

    [[nodiscard]] std::vector<alarms::Occurrence> standing() const { return panel_.standing(); }
    /// Alarms and what was annunciated of them, into its places of the state and back. What was raised before
    /// is not annunciated again.
    void save(VesselState& state) const;
    void restore(const VesselState& state);

private:
    alarms::AlarmPanel panel_;
    annunciation::Annunciator annunciator_;
};

}  // namespace gyled::cellar
