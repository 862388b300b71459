#pragma once
/// `gyle replay`: a recorded log through the real core, as fast as it goes.

#include <iosfwd>
#include <string>

#include "daemon/base/time.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/config/config.hpp"

namespace gyled::cli {

struct ReplayOptions {
    std::string log;  ///< a path, plain or gzipped; "-" is standard input
    bool json = false;
    base::Duration every =
        std::chrono::minutes{15};  ///< of event time, between estimates told: whole minutes
};

/// Lines `UNIX_SECONDS TOPIC PAYLOAD`. Lines that begin with # are for people. A line that is none is counted
/// under "not_a_log_line", one whose time is far from those around it under "time_out_of_place" (the first
/// few are named on `talk`). Event time drives the core. Returns the program's exit code: 0, or 1 when the
/// log cannot be read (said on `talk`). A `plan` for a vessel that the configuration lacks is refused with 2.
int replay(const config::Config& config, const batch::Plan* plan, const ReplayOptions& options,
           std::ostream& out, std::ostream& talk);

}  // namespace gyled::cli
