#include "daemon/zone/zone.hpp"

#include <date/tz.h>

#include <algorithm>
#include <stdexcept>

namespace gyled::zone {

bool known(const std::string& name) {
    try {
        return date::locate_zone(name) != nullptr;
    } catch (const std::runtime_error&) {
        return false;
    }
}

LocalTime shown_at(Timestamp t, const std::string& name) {
    return LocalTime{date::locate_zone(name)->to_local(t).time_since_epoch()};
}

Timestamp moment_of(LocalTime local, const std::string& name, Timestamp not_after) {
    const date::local_time<Duration> asked{local.time_since_epoch()};
    const date::local_info info = date::locate_zone(name)->get_info(asked);
    const auto with = [&](const date::sys_info& rule) {
        return Timestamp{local.time_since_epoch() - rule.offset};
    };
    if (info.result == date::local_info::unique) return with(info.first);
    const auto [earlier, later] = std::minmax({with(info.first), with(info.second)});
    return later <= not_after ? later : earlier;
}

}  // namespace gyled::zone
