#pragma once
/// gyled under test. However its test ends, it fails when the daemon took more memory than it may.

#include "tests/integration/process.hpp"

namespace gyled::integration {

/// What the watch may take on a small server, whatever is done to it. The service is given four times that
/// (systemd/gyled.service), beside the spool. The sanitizers' own memory is not counted: under them nothing
/// is checked.
inline constexpr double memory_mib_max = 64;

class Daemon : public Process {
public:
    using Process::Process;
    ~Daemon();
};

}  // namespace gyled::integration
