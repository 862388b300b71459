#pragma once
/// The memory of one vessel as a JSON document (column vessel_state.document). The running batch is not in
/// it: the row names it, and its own row is the one truth. Times are UTC milliseconds, values canonical; the
/// vessel's id, the time and the version stand in the row as well. Thread: any.

#include <string>
#include <string_view>

#include "daemon/cellar/vessel_state.hpp"
#include "sensors/state.hpp"

namespace gyled::storage {

[[nodiscard]] std::string to_document(const cellar::VesselState& state);
/// With no batch. Throws std::runtime_error, saying what is wrong, when the text is not such a document or a
/// later gyled wrote it.
[[nodiscard]] cellar::VesselState state_from(std::string_view document);

/// The memory of one sensor (column sensor_state.document); errors likewise.
[[nodiscard]] std::string to_document(const sensors::SensorState& state);
[[nodiscard]] sensors::SensorState sensor_state_from(std::string_view document);

}  // namespace gyled::storage
