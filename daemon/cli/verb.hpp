#pragma once
/// What a verb of `gyle` is: it adds its options to the command line and, when it is the one that was typed,
/// leaves what to do. Each keeps its own options; nothing is shared but these lines. Thread: one.

#include <functional>
#include <iosfwd>

namespace CLI {
class App;
}

namespace gyled::cli {

/// Exit codes.
inline constexpr int done = 0, failed = 1, wrong_usage = 2;

struct Terminal {
    std::ostream& out;   ///< data; the caller checks at the end that it could be written
    std::ostream& talk;  ///< what is said to the person
};

/// Does what was asked; returns the exit code.
using Action = std::function<int(Terminal)>;

void add_status(CLI::App& gyle, Action& chosen);
void add_batch(CLI::App& gyle, Action& chosen);
void add_measure(CLI::App& gyle, Action& chosen);
void add_alarms(CLI::App& gyle, Action& chosen);
void add_replay(CLI::App& gyle, Action& chosen);
void add_check(CLI::App& gyle, Action& chosen);
void add_export(CLI::App& gyle, Action& chosen);
void add_import(CLI::App& gyle, Action& chosen);
void add_what_if(CLI::App& gyle, Action& chosen);
void add_carbonate(CLI::App& gyle, Action& chosen);
void add_package(CLI::App& gyle, Action& chosen);
void add_report(CLI::App& gyle, Action& chosen);
void add_calc(CLI::App& gyle, Action& chosen);
void add_vessel(CLI::App& gyle, Action& chosen);
void add_culture(CLI::App& gyle, Action& chosen);

}  // namespace gyled::cli
