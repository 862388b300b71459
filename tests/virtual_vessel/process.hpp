#pragma once
/// Programs under test: started without a shell, ended with the object.

#include <chrono>
#include <string>
#include <vector>

namespace gyled::virtual_vessel {

struct Finished {
    int exit_code = -1;  ///< -1 when a signal ended it, or it never started
    std::string out;
    std::string err;
};

/// Runs to the end and hands over everything it said.
[[nodiscard]] Finished run(const std::vector<std::string>& command);

/// A program in the background, its output thrown away. Killed and waited for at the end.
class Background {
public:
    explicit Background(const std::vector<std::string>& command);
    ~Background();
    Background(const Background&) = delete;
    Background& operator=(const Background&) = delete;

    void signal(int number) const;
    /// The exit code, or -1 when it has not ended within `span` or by itself.
    int wait_for(std::chrono::milliseconds span);

private:
    int pid_ = -1;
};

/// A TCP port of the loopback that nobody used a moment ago.
[[nodiscard]] int free_port();

}  // namespace gyled::virtual_vessel
