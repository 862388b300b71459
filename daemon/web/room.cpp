#include "daemon/web/room.hpp"

#include <map>
#include <tuple>

namespace gyled::web {

std::optional<std::size_t> who_gives_way(const std::vector<Occupant>& all) {
    std::map<std::string, std::size_t> crowds;
    for (const Occupant& occupant : all) ++crowds[occupant.from];

    const auto is_missed_less = [&](const Occupant& a, const Occupant& b) {
        return std::tuple{crowds[b.from], a.has_been_answered, *a.idle_since} <
               std::tuple{crowds[a.from], b.has_been_answered, *b.idle_since};
    };
    std::optional<std::size_t> chosen;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].idle_since) continue;
        if (!chosen || is_missed_less(all[i], all[*chosen])) chosen = i;
    }
    return chosen;
}

}  // namespace gyled::web
