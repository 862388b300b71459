#pragma once
/// The words of an alarm, after IEC 62682 / ISA-18.2, and one step in its life as the rest of the house hears
/// of it.
///
/// Plain values: owned by whoever holds them, safe on any thread. Times are event times in UTC; values and
/// limits are canonical units (degC, kPa gauge, SG ...) of the quantity that the rule watches.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/base/time.hpp"

namespace gyled::alarms {

using base::Duration;
using base::Timestamp;

enum class Priority : std::uint8_t { low, medium, high, critical };
[[nodiscard]] std::string_view name(Priority p);
/// Nothing for any other text.
[[nodiscard]] std::optional<Priority> priority_named(std::string_view text);

/// Where an alarm is in its life. `pending` (on-delay running) and `returning` (off-delay running) are inner
/// states: the outside hears of raised, acknowledged, shelved and normal only.
enum class AlarmState : std::uint8_t { normal, pending, raised, acknowledged, returning, shelved };
[[nodiscard]] std::string_view name(AlarmState s);  ///< "normal" reads "cleared": a step back to normal

/// One step in an alarm's life: stored, shown and perhaps annunciated.
///
/// Information (fermentation started, finished, carbonated) is no alarm and never stands: it comes as two
/// steps of one moment, raised and at once normal, so that whoever keeps alarms closes it where it opened it.
/// When it turns out to be wrong, a later step to normal revokes it.
struct Transition {
    std::string alarm;    ///< id of this occurrence: vessel (or "watch"), rule, subject if any, and the
                          ///< moment of the raise in ms since 1970; stable across restarts
    std::string vessel;   ///< vessel id; empty for the watch itself (broker, store)
    std::string rule;     ///< e.g. "temperature_out_of_band"
    std::string subject;  ///< what within the vessel, e.g. a sensor id; may be empty
    AlarmState state{};   ///< raised, acknowledged, shelved, or normal: returned to it
    Priority priority{};
    Timestamp at;         ///< of this step: a return is dated with the return
    Timestamp raised_at;  ///< when this occurrence was raised
    std::string text;     ///< one sentence for a tired person, in their units; at raise: as it was then
    std::optional<double> value, limit;  ///< what was seen and where the limit lies
    std::string title;                   ///< the same in at most `base::title_characters`
    bool annunciated = false;  ///< this step went to people; false: recorded only. Annunciation decides
    // The alarm log does not keep these, PanelState does.
    Timestamp evidence_at{};  ///< time of the reading or fact that it rests on
    std::string batch{};      ///< name of the batch that was in the vessel; empty: none
    std::string first_aid{};  ///< of this step; empty: what the rule says in general
    friend bool operator==(const Transition&, const Transition&) = default;
};

}  // namespace gyled::alarms
