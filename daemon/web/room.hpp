#pragma once
/// Who gives way when a door is full: a stranger that opens connections and says nothing must not keep others
/// out. Pure; any thread.

#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace gyled::web {

/// One open connection, as far as it matters to a newcomer.
struct Occupant {
    using Time = std::chrono::steady_clock::time_point;
    std::string from;                  ///< its neighbourhood; empty at the Unix socket
    bool has_been_answered = false;    ///< it is somebody who has asked something
    std::optional<Time> idle_since{};  ///< nothing while a complete request of it is being answered
};

/// Which of them makes room: one that is idle; of these one of the largest crowd that comes from one place,
/// busy ones counted; of these rather one that never asked anything; of these the one that is idle longest.
/// Nothing when nobody is idle.
[[nodiscard]] std::optional<std::size_t> who_gives_way(const std::vector<Occupant>& all);

}  // namespace gyled::web
