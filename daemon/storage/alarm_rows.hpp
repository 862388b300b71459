#pragma once
/// Alarms between their words and their rows.

#include <string>
#include <string_view>

#include "daemon/alarms/alarm.hpp"
#include "daemon/storage/database.hpp"

namespace gyled::storage {

/// The state of that name; what is unknown counts as raised, so that nothing that stands is overlooked.
[[nodiscard]] alarms::AlarmState state_named(std::string_view text);
[[nodiscard]] alarms::Priority priority_or_high(std::string_view text);

/// A row of alarm_columns, in that order.
inline constexpr std::string_view alarm_columns =
    "id, vessel, rule, subject, state, priority, changed_ms, raised_ms, text, value, limit_value, title, "
    "rings";
[[nodiscard]] alarms::Transition transition_from(const Statement& row);

}  // namespace gyled::storage
