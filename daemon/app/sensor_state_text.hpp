#pragma once
/// One sensor's memory as text for the store, and back. Pure; any thread.

#include <optional>
#include <string>

#include "sensors/state.hpp"

namespace gyled::app {

/// Doubles come back bit for bit. Text that is not UTF-8 becomes replacement characters.
[[nodiscard]] std::string to_text(const sensors::SensorState& state);
/// Nothing when the text is none, or of a version that we do not know: such a sensor begins anew.
[[nodiscard]] std::optional<sensors::SensorState> sensor_state_from_text(const std::string& text);

}  // namespace gyled::app
