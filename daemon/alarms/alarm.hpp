#pragma once
/// The words of an alarm, after IEC 62682 / ISA-18.2, and what the core tells about one.

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
[[nodiscard]] std::optional<Priority> priority_named(std::string_view text);

/// Where an alarm is in its life. `pending` (on-delay running) and `returning` (off-delay running) are inner
/// states: the outside hears of raised, acknowledged, shelved and cleared only.
enum class State : std::uint8_t { normal, pending, raised, acknowledged, returning, shelved };
[[nodiscard]] std::string_view name(State s);  ///< "normal" reads "cleared" in transitions

/// One step in an alarm's life that others hear about; stored, shown and perhaps delivered.
struct Transition {
    std::string alarm;    ///< id of this occurrence, e.g. "north/temperature_out_of_band/1772388000": stable
                          ///< across restarts
    std::string vessel;   ///< vessel id; empty for the watch itself (broker, store)
    std::string rule;     ///< e.g. "temperature_out_of_band"
    std::string subject;  ///< what within the vessel, e.g. a sensor id; may be empty
    State state{};        ///< raised, acknowledged, shelved, or normal for "over"
    Priority priority{};
    Timestamp at;                        ///< event time
    Timestamp raised_at;                 ///< when this occurrence began
    std::string text;                    ///< one sentence for a tired person, in their units
    std::optional<double> value, limit;  ///< what was seen and where the limit lies, canonical units
    std::string title;                   ///< the same in at most 60 characters, for the head of a notice
    bool rings =
        true;  ///< false: recorded only (late news, explained by another alarm, or nobody heard it begin)
    friend bool operator==(const Transition&, const Transition&) = default;
};

}  // namespace gyled::alarms
