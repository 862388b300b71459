#pragma once
/// Where the log goes: standard error, plain for people, with the journal's priorities when it listens.

#include <string>

namespace gyled::app {

/// Level: debug, info, warn or error. Colours only on a terminal, and not when NO_COLOR is set.
void log_to_stderr(const std::string& level);

}  // namespace gyled::app
