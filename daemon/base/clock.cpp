#include "daemon/base/clock.hpp"

#include <sys/timex.h>

#include <ctime>

namespace gyled::base {
namespace {

Duration read(clockid_t id) {
    timespec now{};
    ::clock_gettime(id, &now);
    return std::chrono::duration_cast<Duration>(std::chrono::seconds{now.tv_sec} +
                                                std::chrono::nanoseconds{now.tv_nsec});
}

bool is_synchronised() {
    timex asked{};  // modes 0: nothing is changed
    const int state = ::adjtimex(&asked);
    return state >= 0 && state != TIME_ERROR && (asked.status & STA_UNSYNC) == 0;
}

}  // namespace

Clock system_clock() {
    return {[] { return Timestamp{read(CLOCK_REALTIME)}; }, [] { return read(CLOCK_BOOTTIME); },
            is_synchronised};
}

Timestamp source_time() {
    return Timestamp{std::chrono::seconds{GYLED_SOURCE_TIME}};
}

}  // namespace gyled::base
