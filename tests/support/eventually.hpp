#pragma once
/// Waiting for something that other threads or processes bring about.

#include <chrono>
#include <thread>

namespace gyled::testing {

/// Asks `claim` again and again until it holds, or until `patience` is over. True when it held.
template <class Claim>
[[nodiscard]] bool eventually(Claim claim, std::chrono::milliseconds patience = std::chrono::seconds{30}) {
    const auto deadline = std::chrono::steady_clock::now() + patience;
    while (!claim()) {
        if (std::chrono::steady_clock::now() > deadline) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds{2});
    }
    return true;
}

}  // namespace gyled::testing
