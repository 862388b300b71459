#pragma once
/// Work that may end or bound its whole process, such as a limit on the size of files.

#include <sys/wait.h>
#include <unistd.h>

#include <functional>

namespace gyled::storage {

/// Runs `work` in a process of its own and returns its exit code; a signal counts as 100 + its number.
inline int in_a_process(const std::function<int()>& work) {
    const pid_t child = ::fork();
    if (child == 0) {
        int code = 99;
        try {
            code = work();
        } catch (...) {
        }
        ::_exit(code);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 100 + WTERMSIG(status);
}

}  // namespace gyled::storage
