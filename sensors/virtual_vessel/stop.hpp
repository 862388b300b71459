#pragma once
/// SIGINT and SIGTERM as a question that the program asks itself.

#include <chrono>

namespace gyled::virtual_vessel {

/// From now on the two signals are only remembered.
void watch_for_stop();
[[nodiscard]] bool stop_asked();
/// Sleeps for `span`, or until someone asks to stop.
void sleep_unless_stopped(std::chrono::milliseconds span);

}  // namespace gyled::virtual_vessel
