#include "tests/integration/daemon.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace gyled::integration {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool memory_is_its_own = false;
#else
constexpr bool memory_is_its_own = true;
#endif

}  // namespace

Daemon::~Daemon() {
    const double peak_mib = peak_memory_mib();
    ::testing::Test::RecordProperty("daemon_memory_mib", std::to_string(peak_mib));
    EXPECT_LE(peak_mib, memory_is_its_own ? memory_mib_max : HUGE_VAL) << "resident memory at its highest";
    EXPECT_GT(peak_mib, 1) << "it was never looked at";
}

}  // namespace gyled::integration
