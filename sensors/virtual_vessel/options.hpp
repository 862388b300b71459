#pragma once
/// The command line.

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "daemon/base/pace.hpp"
#include "sensors/virtual_vessel/plant/scenario.hpp"
#include "sensors/virtual_vessel/plant/words.hpp"

namespace gyled::virtual_vessel {

struct Options {
    Scenario scenario;       ///< with everything applied that the command line says about it
    std::string broker_url;  ///< empty: no broker
    std::string user;
    std::string password;
    std::string topic_prefix;
    std::string log_path;  ///< empty: no log
    std::string batch_path;
    std::string config_path;
    std::string truth_path;
    Duration backfill{0};
    std::optional<Duration> run_for;  ///< after the backfill; a log: from the beginning
    double speed = 1;
    std::optional<base::Pace> pace;  ///< of a rehearsal with gyled: instead of speed
    bool list_scenarios = false;
};

/// The options, or the exit code after help or a complaint has been printed: 0 or 2.
[[nodiscard]] std::variant<Options, int> parse_command_line(int argc, char** argv);

}  // namespace gyled::virtual_vessel
