#pragma once
/// A program under test, started and ended by process id; what it says goes to a file.

#include <sys/types.h>

#include <chrono>
#include <optional>
#include <string>
#include <vector>

namespace gyled::integration {

class Process {
public:
    Process(std::vector<std::string> command, std::string output_path);
    ~Process();  ///< kills what still runs
    Process(const Process&) = delete;
    Process& operator=(const Process&) = delete;

    [[nodiscard]] pid_t pid() const { return pid_; }
    void signal(int number) const;
    /// The exit code (128 + signal when killed); nothing when it still runs after that long.
    [[nodiscard]] std::optional<int> wait(std::chrono::milliseconds patience);
    [[nodiscard]] bool running();
    [[nodiscard]] std::string output() const;
    /// Resident memory at its highest, in MiB, as last seen: while waiting for its end, or asked for now.
    [[nodiscard]] double peak_memory_mib();

private:
    void look_at_memory();

    pid_t pid_ = -1;
    double peak_memory_mib_ = 0;
    std::optional<int> code_;
    std::string output_path_;
};

/// Runs to the end; the exit code and what it wrote (standard output and error together).
struct Ran {
    int code = -1;
    std::string said;
};
[[nodiscard]] Ran run(const std::vector<std::string>& command, const std::string& output_path);

}  // namespace gyled::integration
