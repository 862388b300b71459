#pragma once
/// The verbs of `gyle`. Each takes --json; those that talk to the daemon use its Unix socket.

#include <functional>
#include <iosfwd>
#include <memory>

namespace CLI {
class App;
}

namespace gyled::app {

class Commands {
public:
    /// Adds the verbs to `options`; after it has parsed, `run` does what was asked.
    Commands(CLI::App& options, std::ostream& out, std::ostream& talk);
    ~Commands();
    /// The exit code: 0 done, 1 failed, 2 wrong usage.
    int run();

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::app
