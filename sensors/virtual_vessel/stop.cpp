#include "sensors/virtual_vessel/stop.hpp"

#include <algorithm>
#include <csignal>
#include <thread>

namespace gyled::virtual_vessel {
namespace {

volatile std::sig_atomic_t asked = 0;

}  // namespace

void watch_for_stop() {
    struct sigaction action {};
    action.sa_handler = [](int) { asked = 1; };
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, nullptr);
    sigaction(SIGTERM, &action, nullptr);
}

bool stop_asked() {
    return asked != 0;
}

void sleep_unless_stopped(std::chrono::milliseconds span) {
    const auto until = std::chrono::steady_clock::now() + span;
    while (!stop_asked() && std::chrono::steady_clock::now() < until)
        std::this_thread::sleep_for(std::min<std::chrono::steady_clock::duration>(
            until - std::chrono::steady_clock::now(), std::chrono::milliseconds{50}));
}

}  // namespace gyled::virtual_vessel
