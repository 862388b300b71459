#include "tests/simulation/pressure/truth/worlds.hpp"

#include <algorithm>
#include <vector>

namespace gyled::pressure_worlds {

std::span<const Kind> kinds() {
    static const std::vector<Kind> all = [] {
        std::vector<Kind> joined;
        for (const auto some :
             {fermenting_kinds(), supplied_kinds(), known_kinds(), troubled_kinds(), healthy_kinds()})
            joined.insert(joined.end(), some.begin(), some.end());
        return joined;
    }();
    return all;
}

}  // namespace gyled::pressure_worlds
