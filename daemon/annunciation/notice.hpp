#pragma once
/// What reaches a person: a notice, made of a transition, with the names of those who are to carry it. Plain
/// values and pure functions: any thread, no errors.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/display/display.hpp"

namespace gyled::annunciation {

using base::Timestamp;

/// Something for the phone.
struct Notice {
    enum class Kind : std::uint8_t { raised, returned, information, drill };
    std::string id;      ///< unique; a repeated delivery carries the same one
    std::string thread;  ///< the alarm's id: "returned" may replace "raised" in place
    Kind kind{};
    std::string vessel;
    std::string rule;
    alarms::Priority priority{};  ///< of the alarm; a return keeps the most urgent one that was annunciated,
                                  ///< so that it reaches whom the beginning reached
    std::string title;            ///< at most `base::title_characters`
    std::string text;  ///< what, how much, since when, what it may mean, what to do first; caution where due
    Timestamp at;
    std::vector<std::string> recipients;  ///< names of the messengers that are to carry it
};
[[nodiscard]] std::string_view name(Notice::Kind k);
/// Also "over", as outboxes of version 1 say for "returned". Nothing for any other text.
[[nodiscard]] std::optional<Notice::Kind> kind_named(std::string_view text);

/// What every message bears, so that it is understood away from home and read late.
struct Letterhead {
    std::string site;  ///< its name; empty: not said
    display::Display display;
    /// "Harbour Mild, Harbour cellar, Sun 1 Mar 18:02."
    [[nodiscard]] std::string signature(const std::string& batch, Timestamp at) const;
};

/// The words and the id that a step to raised or to normal makes, for nobody yet: what to do, what is so, how
/// and what never. The same step always makes the same notice, so a receiver may tell a repeated delivery.
/// Precondition: state is raised or normal.
[[nodiscard]] Notice notice_of(const alarms::Transition& step, const Letterhead& letterhead = {});

/// The same alarm once more, as it stands at `now`: nobody has acknowledged it.
[[nodiscard]] Notice again_notice(const alarms::Transition& step, const std::string& present_text,
                                  Timestamp now, const Letterhead& letterhead);

/// One of those that were kept for the end of the quiet hours.
struct Kept {
    std::string alarm;  ///< id of the occurrence, or of the notice where there is none
    std::string recipient;
    alarms::Priority priority{};
    Timestamp at;
    std::string title;
    bool stands = false;  ///< an alarm that has not returned to normal; else news
    friend bool operator==(const Kept&, const Kept&) = default;
};
/// All that was kept for one recipient, oldest first; for it alone. Precondition: there is some.
[[nodiscard]] Notice digest_notice(const std::string& vessel, const std::vector<Kept>& kept, Timestamp now,
                                   const Letterhead& letterhead);

/// A stage whose end has been reached; the person moves on.
struct StageEnd {
    std::string vessel;       ///< id
    std::string vessel_name;  ///< for people
    std::string batch_name;
    base::StageKind stage{};
    std::size_t index = 0;                ///< of the stage in its plan
    std::optional<base::StageKind> next;  ///< nothing: it was the last one
    std::string why;                      ///< "2.0 °C reached"
    Timestamp at;
};
/// Information for nobody yet (see Annunciator::address): of medium priority on brew day, when a person
/// stands beside the vessel; else of low.
[[nodiscard]] Notice stage_end_notice(const StageEnd& end, const Letterhead& letterhead);

/// What a person on brew day is called for before a stage has ended.
struct StageCall {
    std::string vessel;       ///< id
    std::string vessel_name;  ///< for people
    std::string batch_name;
    std::string rule;       ///< "stage_soon", "addition"
    std::size_t index = 0;  ///< of the stage in its plan
    std::string headline;   ///< "mash rest: 10 min left"
    std::string text;       ///< sentences
    Timestamp at;
};
/// Information of medium priority, for nobody yet.
[[nodiscard]] Notice stage_call_notice(const StageCall& call, const Letterhead& letterhead);

}  // namespace gyled::annunciation
