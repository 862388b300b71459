#pragma once
/// What reaches a person: a notice, made of a transition, with the names of those who are to carry it.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/alarms/alarm.hpp"

namespace gyled::annunciation {

using base::Timestamp;

/// Something for the phone.
struct Notice {
    enum class Kind : std::uint8_t { raised, over, information, drill };
    std::string id;      ///< unique; a repeated delivery carries the same one
    std::string thread;  ///< the alarm's id: "over" may replace "raised" in place
    Kind kind{};
    std::string vessel;
    std::string rule;
    alarms::Priority
        priority{};     ///< of the alarm; "over" keeps it, so that it reaches whom the beginning reached
    std::string title;  ///< at most 60 characters
    std::string text;   ///< what, how much, since when, what it may mean, what to do first; caution where due
    Timestamp at;
    std::vector<std::string> recipients;  ///< names of the messengers that are to carry it
};
[[nodiscard]] std::string_view name(Notice::Kind k);

/// The notice that a transition makes; nothing when it rings nobody. Its id is stable: the same transition
/// always makes the same notice, so a receiver may tell a repeated delivery.
[[nodiscard]] std::optional<Notice> notice_for(const alarms::Transition& transition);

}  // namespace gyled::annunciation
